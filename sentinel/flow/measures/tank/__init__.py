"""The bulk tank: its tests, their means over the months that the law counts, its temperature."""
