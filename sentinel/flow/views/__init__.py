"""What is shown, one module a screen: pure functions from what is known to small plain records.

`at` is an argument everywhere; times stay UTC seconds, figures stay numbers with the name of their unit, and words
that are not data (a place, a chore's state) are short codes for the page to put into its own language. A module is
named as its screen, its template and its handler are. `parts` is what several show alike, `charts` inline SVG.
"""
