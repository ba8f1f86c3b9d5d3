"""What a column and a table declare of themselves, each once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sentinel.flow.tables.expected import Expected

Kind = Literal["text", "time", "moment", "number", "count", "flag", "word", "date", "reason"]

TIMES: tuple[Kind, ...] = ("time", "moment", "date")
"""The kinds that are read as a point in time."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a tidy table.

    `kind`: `text` (a name, kept as written), `time` (UTC seconds), `moment` (the same, and it may be missing),
    `date` (UTC seconds of the farm's local midnight), `number` (float, in `unit`), `count` (int), `flag` (True/False),
    `word` (one of `words`), `reason` (why, as a `Reason`).

    For drafting a map, and never believed without being shown to a person: `titles` is what exports call it, in lower
    case and parted by semicolons, in several languages.

    `expected`: what its figures are in its own unit; what is not possible is read as unknown.
    """

    name: str
    kind: Kind
    doc: str
    unit: str = ""
    words: tuple[str, ...] = ()
    titles: str = ""
    expected: Expected | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """One tidy table: its columns, its natural key, and the column that says when the row happened.

    `kept_s`: for how long its rows are kept in memory, counted back from the moment up to which the rules that look at
    it can be decided; on a farm whose exports stopped months ago that is months ago. The lookback of every measure
    fits. With `latest` also the newest older row of each name is kept (a cow, a box's event, a chore's place): a herd
    list's latest row counts however old it is, and some chores are done once a year.
    `per_cow`: its rows are readings of single cows, so that after new ones only theirs need be looked at again.
    `in_bulk`: a replay in bulk rests on it. `within`: its rows are stored as columns of that table's.
    """

    name: str
    doc: str
    key: tuple[str, ...]
    happened: str
    columns: tuple[Column, ...]
    kept_s: int = 0
    latest: bool = False
    per_cow: bool = False
    in_bulk: bool = False
    within: str = ""

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

    @property
    def stored_as(self) -> str:
        """The table that its rows are stored in."""
        return self.within or self.name
