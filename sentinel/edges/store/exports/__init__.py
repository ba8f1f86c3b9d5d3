"""What exports gave: their rows stored and told apart by feed, what is known of each feed, what is read again."""
