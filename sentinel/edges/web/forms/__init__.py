"""What people send to the page: who they are, what they found and did, photos, and what a phone kept without signal."""
