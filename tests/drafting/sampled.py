"""A sample export with its truth: what each column of it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.model import Export

TABLE_OF = {"visits and quarters": "visits", "laboratory": "tank"}


@dataclass(frozen=True, slots=True)
class Truth:
    """What one field truly is in a sample: its columns (one for each quarter, or a day and a clock), its true values.

    `values`: in the table's own unit, in the order of the file's rows; of moments UTC seconds; of words ours.
    """

    columns: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]
    kind: str

    @property
    def title(self) -> str:
        """How a draft calls its column: that of four quarters with `{quarter}` in place of their names."""
        if len(self.columns) != 4:
            return self.columns[0]
        first, *others = self.columns
        begin = next(n for n in range(len(first)) if len({one[: n + 1] for one in self.columns}) > 1)
        end = next(n for n in range(len(first)) if len({one[len(one) - n - 1 :] for one in self.columns}) > 1)
        return f"{first[:begin]}{{quarter}}{first[len(first) - end :]}" if others else first


@dataclass(frozen=True, slots=True)
class Sampled:
    """A sample with its truth: the export, which kind it is, its dialect, and its fields by (table, field).

    `more`: the other files of its kind; the truth is of the rows of all of them.
    """

    export: Export
    kind: str
    dialect: str
    fields: Mapping[tuple[str, str], Truth] = field(default_factory=dict)
    more: tuple[Export, ...] = ()

    @property
    def table(self) -> str:
        """The table that its rows fill."""
        return TABLE_OF.get(self.kind, self.kind)
