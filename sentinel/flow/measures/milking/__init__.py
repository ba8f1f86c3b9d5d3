"""When cows were milked, how visits ended, and what they gave."""
