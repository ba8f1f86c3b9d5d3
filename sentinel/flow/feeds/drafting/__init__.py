"""A feed map drafted from a sample export."""
