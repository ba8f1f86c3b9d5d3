"""What programs read of a farm: records for JSON and CSV, events of the open standard."""
