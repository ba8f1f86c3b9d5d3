"""The tidy tables, declared once: columns, units, keys, for how long they are kept.

The SQLite schema, the frames' types, the check and the drafting of feed maps and the reference in the docs are all made
from this declaration. In reading order: `declare`, `exported`, `own`, `facts` (of the farm), `frames`.
"""

from sentinel.flow.tables.declare import TIMES, Column, Kind, Table
from sentinel.flow.tables.exported import (
    BOX_LOG,
    COW_TESTS,
    COWS,
    EXPORTED,
    IN_MILK,
    MEASURED,
    NOT_WHOLE,
    QUARTER_ROWS,
    QUARTER_VALUES,
    TANK,
    UNKNOWN,
    VISITS,
)
from sentinel.flow.tables.facts import BoxFacts, ChoreFacts, FarmFacts, FeedFacts
from sentinel.flow.tables.frames import (
    IN_BULK,
    PER_COW,
    STORED,
    Tables,
    empty_frame,
    frame_types,
    stored_columns,
    table_named,
    wide,
)
from sentinel.flow.tables.own import CHORES, DELIVERIES, FILES, OWN, UNREAD

__all__ = [
    "BOX_LOG",
    "CHORES",
    "COWS",
    "COW_TESTS",
    "DELIVERIES",
    "EXPORTED",
    "FILES",
    "IN_BULK",
    "IN_MILK",
    "MEASURED",
    "NOT_WHOLE",
    "OWN",
    "PER_COW",
    "QUARTER_ROWS",
    "QUARTER_VALUES",
    "STORED",
    "TANK",
    "TIMES",
    "UNKNOWN",
    "UNREAD",
    "VISITS",
    "BoxFacts",
    "ChoreFacts",
    "Column",
    "FarmFacts",
    "FeedFacts",
    "Kind",
    "Table",
    "Tables",
    "empty_frame",
    "frame_types",
    "stored_columns",
    "table_named",
    "wide",
]
