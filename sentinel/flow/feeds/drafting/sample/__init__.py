"""What can be seen in samples of an export before anything is guessed: form, rows, columns and names."""
