"""What is sent: the outbox, what became of it, what a channel owes, and troubles told from memory."""
