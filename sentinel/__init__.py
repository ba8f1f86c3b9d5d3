"""Sentinel: from a milking box's export to the operator's phone, and the answer kept."""

__version__ = "0.1.0"
