"""Sentinel itself: whether it hears, decides and is heard."""
