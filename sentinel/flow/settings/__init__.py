"""What the farm folder says of the farm and its people."""
