"""What page and terminal both show, one module per page: pure functions from what is known to small plain records.

`at` is an argument everywhere; times stay UTC seconds, figures stay numbers with the name of their unit, and words
that are not data (a place, a chore's state) are short codes for the page to put into its own language.
In reading order: `records` (alerts and the log as rows), `places` (where one walks), `now`, `story` (one alert),
`worklist` (the round) with `chores` and `grazing`, `cow`, `box`, `tank`, `find`, `history`, `feeds`, `rules`, and
`charts` (inline SVG).
"""

from sentinel.flow.views.records import (
    HISTORY_COLUMNS,
    alert_record,
    answer_words,
    by_walk,
    csv_text,
    history_record,
    history_row,
    rfc3339,
    what_words,
)

__all__ = [
    "HISTORY_COLUMNS",
    "alert_record",
    "answer_words",
    "by_walk",
    "csv_text",
    "history_record",
    "history_row",
    "rfc3339",
    "what_words",
]
