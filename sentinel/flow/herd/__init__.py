"""How the herd is doing: its figures against those of the weeks and years before, as page and weekly notice say.

In reading order: `compared` (one figure), `figures` (of the last day), `boxes`, `history` (rows older than those in
memory, as they are handed in), `cells` (of months and years), `watched` (what stands), `week` (what the notice says).
"""
