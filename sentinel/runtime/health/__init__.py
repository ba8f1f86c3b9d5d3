"""Whether sentinel itself is at work, for whoever watches it."""
