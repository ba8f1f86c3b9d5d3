"""The store's past, asked afterwards: lived through again, laid out for other bounds, sealed, gathered for a bundle."""
