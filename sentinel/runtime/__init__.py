"""The service at work: ticks in, decisions kept, notices handed on; and the same ticks told again."""
