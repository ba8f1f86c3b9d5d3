"""What is sent at its hour, whatever else happens: the worklist before each round and the herd's week."""
