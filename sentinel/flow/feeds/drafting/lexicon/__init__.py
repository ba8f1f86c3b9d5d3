"""The words of exports in several languages: titles of columns, words in cells, names of quarters."""
