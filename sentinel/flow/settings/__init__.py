"""What the farm folder says about the farm and its people."""
