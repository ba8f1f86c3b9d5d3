"""What a record is worth later: why the phone rang or did not, seals, bundles, and what is kept for how long."""
