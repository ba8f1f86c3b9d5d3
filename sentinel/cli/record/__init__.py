"""The commands that show what happened, and those that add what a person says of it."""
