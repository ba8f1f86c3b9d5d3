"""An alert's life, and the chain of the log."""
