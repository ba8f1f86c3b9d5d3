"""The milking boxes of a simulated farm: who comes when, what is done at them, what they measure."""
