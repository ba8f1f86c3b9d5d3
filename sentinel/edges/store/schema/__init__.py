"""The schema of the store: its migrations, and what they need to know of the versions before."""
