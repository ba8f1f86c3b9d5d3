"""What several screens, and the terminal, show alike.

`snapshot` (the farm at a moment, of which every screen is made), `timeline` (the last two weeks and what is marked on
them), `visits` (of a cow), `links` (which page shows a subject), `facts` (the figures behind an alert), `late_cows`,
`records` (alerts and the log as rows and words), `csv_text` (for a spreadsheet).
"""
