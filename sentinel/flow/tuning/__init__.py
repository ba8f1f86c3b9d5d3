"""What other rules, or other bounds, would have made of a farm's own history, beside what its own rules make of it."""
