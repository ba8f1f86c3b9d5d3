"""The commands by which a farm folder is made and its settings are got right."""
