"""The commands that watch the farm and tell people, and the one that says whether all is watched."""
