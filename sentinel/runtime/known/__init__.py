"""What the engine knows besides the rows of a tick: the recent past in memory, paces, pages, the herd of a year ago."""
