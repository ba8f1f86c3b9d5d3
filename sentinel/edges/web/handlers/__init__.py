"""What each screen shows for a request: it reads the address, asks the views what to show, and fills its template."""
