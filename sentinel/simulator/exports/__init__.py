"""What the herd computer of a simulated farm writes: each form of export, and the files as they appear."""
