"""The demo's week."""
