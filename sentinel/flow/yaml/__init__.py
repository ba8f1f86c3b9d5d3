"""YAML as sentinel reads it: bounded, with the place of each value."""
