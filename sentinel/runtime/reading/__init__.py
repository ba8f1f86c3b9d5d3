"""From the inbox into the store: what is read first, each export read or set aside whole, what is amiss said once."""
