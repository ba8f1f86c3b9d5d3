"""What every measure is made of: its shapes, its facts, rows in order, and plain statistics."""
