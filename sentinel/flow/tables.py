"""The tidy tables, declared once: columns, units, keys.

The SQLite schema, the frames' types, the check of feed maps and the reference in the docs are all made from
this declaration.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import pandas as pd

from sentinel.flow.model import QUARTERS

Kind = Literal["text", "time", "number", "count", "flag", "word", "date", "reason"]


UNKNOWN = "unknown"
"""The outcome of a visit of which it could not be read: she may have been milked, or not."""

NOT_WHOLE = "not_whole"
"""The outcome of a visit of which it is only said that the milking was not whole: incomplete or failed, by its milk."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a tidy table.

    `kind`: `text` (a name, kept as written), `time` (UTC seconds), `date` (UTC seconds of the farm's local
    midnight), `number` (float, in `unit`), `count` (int), `flag` (True/False), `word` (one of `words`),
    `reason` (why, as a `Reason`).
    """

    name: str
    kind: Kind
    doc: str
    unit: str = ""
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """One tidy table: its columns, its natural key, and the column that says when the row happened."""

    name: str
    doc: str
    key: tuple[str, ...]
    happened: str
    columns: tuple[Column, ...]

    def column(self, name: str) -> Column:
        """The column of that name; raises KeyError if there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)

    @property
    def names(self) -> tuple[str, ...]:
        """The column names in order."""
        return tuple(c.name for c in self.columns)


VISITS = Table(
    "visits",
    "One visit of a cow to a box.",
    key=("cow", "start"),
    happened="start",
    columns=(
        Column("cow", "text", "the cow's number on the farm, kept as written"),
        Column("start", "time", "when she entered the box"),
        Column("box", "text", "which box"),
        Column("duration_s", "number", "how long she was in the box", "s"),
        Column(
            "outcome",
            "word",
            "how it ended: milked, incomplete (stopped early), failed (not attached), refused (not due), "
            "not_whole (incomplete or failed: the milk tells which), or unknown (it could not be read)",
            words=("milked", "incomplete", "failed", "refused", NOT_WHOLE, UNKNOWN),
        ),
        Column("milk_kg", "number", "milk of the visit", "kg"),
        Column("attach_s", "number", "time to attach all cups", "s"),
        Column("attempts", "count", "attachment attempts"),
    ),
)

QUARTER_ROWS = Table(
    "quarters",
    "One quarter at one visit.",
    key=("cow", "start", "quarter"),
    happened="start",
    columns=(
        Column("cow", "text", "the cow's number on the farm"),
        Column("start", "time", "when she entered the box: the same moment as in visits"),
        Column("box", "text", "which box"),
        Column("quarter", "word", "left front, right front, left rear, right rear", words=QUARTERS),
        Column("conductivity_mS_cm", "number", "electrical conductivity of the milk at 25 °C", "mS/cm"),
        Column("milk_kg", "number", "milk of the quarter", "kg"),
        Column("kicked_off", "flag", "the cup came off before the quarter was milked out"),
        Column("x_mm", "number", "teat position as the box saw it, along the cow", "mm"),
        Column("y_mm", "number", "teat position as the box saw it, across the cow", "mm"),
        Column("z_mm", "number", "teat position as the box saw it, height", "mm"),
    ),
)

BOX_LOG = Table(
    "box_log",
    "What a box wrote about itself.",
    key=("box", "at", "event"),
    happened="at",
    columns=(
        Column("box", "text", "which box"),
        Column("at", "time", "when it happened"),
        Column(
            "event",
            "word",
            "what happened",
            words=(
                "filter_changed",
                "washed",
                "optics_cleaned",
                "arm_calibrated",
                "stopped",
                "started",
                "fault",
            ),
        ),
        Column("text", "text", "the box's own words"),
    ),
)

COWS = Table(
    "cows",
    "What is true of a cow from a moment on.",
    key=("cow", "from"),
    happened="from",
    columns=(
        Column("cow", "text", "the cow's number on the farm"),
        Column("from", "time", "the moment from which this row is true"),
        Column("group", "text", "group or herd part"),
        Column("lactation", "count", "lactation number"),
        Column("calved_on", "date", "day of the last calving"),
        Column("milkings_allowed", "number", "milkings a day she is allowed", "1/d"),
        Column(
            "status",
            "word",
            "in milk, dry, or in milk with her milk withheld",
            words=("milking", "dry", "withheld"),
        ),
    ),
)

TANK = Table(
    "tank",
    "A reading or a laboratory result of the bulk tank.",
    key=("tank", "at"),
    happened="at",
    columns=(
        Column("tank", "text", "which tank"),
        Column("at", "time", "when it was read or sampled"),
        Column("temperature_C", "number", "milk temperature", "degC"),
        Column("litres", "number", "milk in the tank", "l"),
        Column("cells_k_ml", "number", "somatic cells", "1000/ml"),
        Column("bacteria_k_ml", "number", "bacteria, plate count at 30 °C", "1000/ml"),
    ),
)

COW_TESTS = Table(
    "cow_tests",
    "A cow's milk recording.",
    key=("cow", "at"),
    happened="at",
    columns=(
        Column("cow", "text", "the cow's number on the farm"),
        Column("at", "time", "when she was sampled"),
        Column("cells_k_ml", "number", "somatic cells", "1000/ml"),
        Column("milk_kg", "number", "milk of the day", "kg"),
    ),
)

EXPORTED = (VISITS, QUARTER_ROWS, BOX_LOG, COWS, TANK, COW_TESTS)
"""The tables a feed map may fill."""

CHORES = Table(
    "chores",
    "A chore that a person said they did.",
    key=("chore", "place", "at"),
    happened="at",
    columns=(
        Column("chore", "text", "which chore"),
        Column("place", "text", "at which box or block; empty if it has no place"),
        Column("at", "time", "when it was done"),
        Column("person", "text", "who said so"),
        Column("note", "text", "their note"),
    ),
)

FILES = Table(
    "files",
    "One reading of one export file.",
    key=("feed", "file", "at"),
    happened="at",
    columns=(
        Column("feed", "text", "which feed"),
        Column("file", "text", "the file's name under the inbox folder"),
        Column("at", "time", "when it was read"),
        Column("rows_read", "count", "rows that were understood"),
        Column("rows_set_aside", "count", "rows that were not"),
        Column("rows_in_part", "count", "rows that were kept without some of their cells"),
        Column("reason", "reason", "the first reason"),
    ),
)

DELIVERIES = Table(
    "deliveries",
    "How a notice to a channel ended.",
    key=("notice", "channel"),
    happened="at",
    columns=(
        Column("notice", "text", "the notice's id"),
        Column("channel", "text", "the channel's name"),
        Column("at", "time", "when it ended"),
        Column("outcome", "word", "how", words=("delivered", "gave_up")),
        Column("detail", "reason", "what the channel said"),
    ),
)

UNREAD = Table(
    "unread",
    "Rows of an export that could not be read: each may have happened.",
    key=("feed", "file", "line"),
    happened="ends",
    columns=(
        Column("feed", "text", "which feed"),
        Column("file", "text", "the file's name under the inbox folder"),
        Column("line", "count", "the first one's line; 0 if the whole file could not be read"),
        Column("tab", "text", "the table that they would have been rows of"),
        Column("who", "text", "the cow's or box's name, empty if it could not be read"),
        Column("box", "text", "which box, empty if it could not be read"),
        Column("begins", "time", "they happened at this moment or later"),
        Column("ends", "time", "they happened at this moment or earlier"),
        Column("number", "count", "how many rows"),
    ),
)

OWN = (CHORES, FILES, DELIVERIES, UNREAD)
"""The tables sentinel fills itself."""

QUARTER_VALUES = tuple(c.name for c in QUARTER_ROWS.columns if c.name not in ("cow", "start", "box", "quarter"))
"""The values each quarter has; `visits` frames and the store carry them as `lf_milk_kg`, `rf_milk_kg`, ..."""


def table_named(name: str) -> Table:
    """The exported or own table of that name; raises KeyError if there is none."""
    for table in (*EXPORTED, *OWN):
        if table.name == name:
            return table
    raise KeyError(name)


def wide(value: str) -> list[str]:
    """The four wide columns of a quarter value, in the order of `QUARTERS`.

    >>> wide("milk_kg")
    ['lf_milk_kg', 'rf_milk_kg', 'lr_milk_kg', 'rr_milk_kg']
    """
    return [f"{quarter.lower()}_{value}" for quarter in QUARTERS]


_FRAME_TYPES = {
    "text": "object",
    "word": "object",
    "reason": "object",
    "time": "int64",
    "date": "float64",
    "number": "float64",
    "count": "float64",
    "flag": "float64",
}


def frame_types(table: Table) -> dict[str, str]:
    """Column name to NumPy type of the table's frame; `visits` carries its quarters as wide columns.

    Times are int64 UTC seconds; numbers, counts, flags and dates are float64 with NaN for missing; names and
    words are object columns of `str`, reasons of `Reason`, with None for missing.
    """
    types = {c.name: _FRAME_TYPES[c.kind] for c in table.columns}
    if table is VISITS:
        types |= {name: "float64" for value in QUARTER_VALUES for name in wide(value)}
    return types


def empty_frame(table: Table) -> pd.DataFrame:
    """A frame with the table's columns and types and no row."""
    return pd.DataFrame({name: np.empty(0, dtype=kind) for name, kind in frame_types(table).items()})


@dataclass(frozen=True, slots=True)
class FeedFacts:
    """What a measure may know of a feed: its name, what it fills, how often it should come, and after how long a
    silence it counts as quiet (None: never).

    `tables` are the tables it fills and, as `table.column`, their columns: a laboratory's monthly results and a
    thermometer's hourly readings may fill one table, and neither bounds what can be told of the other.
    """

    name: str
    tables: tuple[str, ...]
    pace: str = "hourly"
    known_until: int | None = None
    watched_since: int = 0
    quiet_after_s: int | None = None


@dataclass(frozen=True, slots=True)
class ChoreFacts:
    """A chore the farm does: `chore:name/place`; `event` is the box_log event that records it, if any.

    `planned`: the grazing plan says by when, as of a wire that is moved once a day in its block's turn.
    """

    name: str
    place: str
    event: str = ""
    planned: bool = False

    @property
    def by_plan(self) -> str:
        """Whether a plan says by when, as a rule's `where` asks it: `yes` or `no`."""
        return "yes" if self.planned else "no"

    @property
    def subject(self) -> str:
        """`chore:wash/2`, or `chore:tank` if it has no place."""
        return f"chore:{self.name}/{self.place}" if self.place else f"chore:{self.name}"


@dataclass(frozen=True, slots=True)
class FarmFacts:
    """What a measure may know of the farm besides its rows.

    `watched_since`: UTC seconds from which sentinel has watched; before anything is known of a chore or a feed,
    time counts from here. `whole_herd_lists`: each herd list names every cow, so one left out has gone.
    `decided`: each rule in use and the moment up to which it could last be decided. `zone`: where the farm's months
    begin and end. `asked_from`: readings before this moment are not asked for; a costly measure may leave them out,
    but for the last of each subject. `asked_cows`: of these cows only are readings asked for, where the measure says
    that it heeds it; the rows of the others are there to compare with.
    """

    boxes: tuple[str, ...] = ()
    chores: tuple[ChoreFacts, ...] = ()
    feeds: tuple[FeedFacts, ...] = ()
    watched_since: int = 0
    whole_herd_lists: bool = False
    decided: tuple[tuple[str, int], ...] = ()
    zone: str = "UTC"
    asked_from: int = -(2**62)
    asked_cows: frozenset[str] | None = None


@dataclass(frozen=True, slots=True)
class Tables:
    """The rows known at a moment, as frames sorted by when they happened (then by key).

    `visits` holds the quarters as wide columns (see `wide`). Functions never change these frames.
    """

    visits: pd.DataFrame = field(default_factory=lambda: empty_frame(VISITS))
    box_log: pd.DataFrame = field(default_factory=lambda: empty_frame(BOX_LOG))
    cows: pd.DataFrame = field(default_factory=lambda: empty_frame(COWS))
    tank: pd.DataFrame = field(default_factory=lambda: empty_frame(TANK))
    cow_tests: pd.DataFrame = field(default_factory=lambda: empty_frame(COW_TESTS))
    chores: pd.DataFrame = field(default_factory=lambda: empty_frame(CHORES))
    files: pd.DataFrame = field(default_factory=lambda: empty_frame(FILES))
    deliveries: pd.DataFrame = field(default_factory=lambda: empty_frame(DELIVERIES))
    unread: pd.DataFrame = field(default_factory=lambda: empty_frame(UNREAD))
    farm: FarmFacts = FarmFacts()
