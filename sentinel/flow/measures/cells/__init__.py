"""Somatic cells of single cows and of the milk recording as a whole."""
