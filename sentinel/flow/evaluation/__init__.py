"""From a measure's values and a rule's bounds to what holds at a moment, and which of it must be judged again."""
