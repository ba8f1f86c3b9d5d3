"""Where a field's values come from that stand in no column as they are: two moments, flags, the file's name."""
