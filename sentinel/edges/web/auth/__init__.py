"""Who may enter: signed links and sessions, the cookie they are kept in, bad links counted, connections at the door."""
