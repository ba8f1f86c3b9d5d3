"""The cows of a simulated herd, what becomes of them, and the milk they give together."""
