"""What will happen to a simulated herd: the words for it, a plan drawn from rates, and the demo's week."""
