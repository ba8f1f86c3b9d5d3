"""What each screen does with a request: it reads the address, asks the views what to show, and fills its template."""
