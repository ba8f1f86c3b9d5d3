"""Whether sentinel itself is at work, for anyone who watches it."""
