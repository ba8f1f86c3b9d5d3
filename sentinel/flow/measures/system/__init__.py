"""Sentinel itself: whether it hears, decides and gets through."""
