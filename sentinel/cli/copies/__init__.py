"""The commands that copy the store and bring it back."""
