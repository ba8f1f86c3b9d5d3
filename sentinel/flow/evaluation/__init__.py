"""From what a measure gives and a rule asks to what is so at a moment, and what of it must be judged again."""
