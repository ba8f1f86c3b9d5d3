"""Which table a sample fills and which column is which field, with how sure that is."""
