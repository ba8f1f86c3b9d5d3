"""`python -m sentinel`: the same as the command `sentinel`."""

from sentinel.cli import main

main()
