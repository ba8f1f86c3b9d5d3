"""Failures to attach: how many, how many by chance, and what is the likeliest cause."""
