"""What is true of a simulated herd, as plain data beside its exports."""
