"""Boxes at work: attaching, the arm, the optics, upkeep, and whether it is the box or the cow."""
