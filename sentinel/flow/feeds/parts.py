"""Rows of one table one after the other, kept in parts: each of those of which the same columns could not be read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.model import Rows

_MOST_PARTS = 1000
"""Past so many parts rows join the last one of theirs: a file in which nearly every row has another cell that cannot be
read would take a kilobyte for each. Only of rows that stand twice in such a file an earlier one may then count."""


@dataclass(slots=True)
class _Shape:
    """The columns of rows of which the same ones could not be read, and their places in a row of all."""

    without: frozenset[str]
    places: list[int]
    columns: tuple[str, ...]
    latest: Part | None = None


@dataclass(slots=True)
class Part:
    """Rows one after the other of which the same columns could not be read; those columns are left out, so that what
    an earlier export said of them stands."""

    shape: _Shape
    values: list[tuple[Any, ...]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


@dataclass(slots=True)
class Parts:
    """The rows of a table, whose whole rows have these `columns`."""

    table: str
    columns: tuple[str, ...]
    _parts: list[Part] = field(default_factory=list)
    _shapes: dict[frozenset[str], _Shape] = field(default_factory=dict)

    def part(self, without: frozenset[str] = frozenset()) -> Part:
        """Where the next rows go: a part of its own begins when other columns could not be read."""
        if not self._parts or self._parts[-1].shape.without != without:
            shape = self._shapes.get(without)
            if shape is None:
                places = [i for i, name in enumerate(self.columns) if name not in without]
                shape = self._shapes[without] = _Shape(without, places, tuple(self.columns[i] for i in places))
            if len(self._parts) >= _MOST_PARTS and shape.latest is not None:
                return shape.latest
            shape.latest = Part(shape)
            self._parts.append(shape.latest)
        return self._parts[-1]

    def add(self, row: Sequence[Any], line: int, without: Iterable[str] = ()) -> None:
        """Add one row without some columns."""
        part = self.part(frozenset(without))
        part.values.append(tuple([row[i] for i in part.shape.places]))
        part.lines.append(line)

    def rows(self) -> list[Rows]:
        """Everything added so far, in order; one part without rows if there is nothing."""
        parts = self._parts or [self.part()]
        return [Rows(self.table, one.shape.columns, tuple(one.values), tuple(one.lines)) for one in parts]
