"""The pure middle: export text in, alerts and notices out; no file, clock, log or database.

Read in this order: model, tables, mapping, measures, rulebook, conditions, verdicts, alerts, notices, views, decide.
"""
