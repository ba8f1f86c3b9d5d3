"""Which attributes a `where` may ask of each kind of subject, and the reading of one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sentinel.flow.model import QUARTERS
from sentinel.flow.rulebook.faults import Fault
from sentinel.flow.rulebook.quantities import LARGEST
from sentinel.flow.rulebook.rule import Where
from sentinel.flow.tables import COWS, Column
from sentinel.flow.yaml_text import did_you_mean

PACES = ("hourly", "daily", "weekly", "monthly")
"""How often a feed should come."""

YES_NO = ("yes", "no")
"""Words that YAML may read as true and false."""

_COW = tuple(COWS.column(name) for name in ("cow", "group", "lactation", "milkings_allowed", "status"))
_FEED = (Column("feed", "text", "the feed"), Column("pace", "word", "how often it should come", words=PACES))

ATTRIBUTES: Mapping[str, tuple[Column, ...]] = {
    "cow": _COW,
    "quarter": (
        *_COW,
        Column("quarter", "word", "left front, right front, left rear, right rear", words=QUARTERS),
        Column("box", "text", "the box of the reading"),
    ),
    "box": (Column("box", "text", "which box"),),
    "tank": (Column("tank", "text", "which tank"),),
    "feed": _FEED,
    "file": _FEED,
    "chore": (
        Column("chore", "text", "which chore"),
        Column("place", "text", "where it is done"),
        Column("planned", "word", "whether the grazing plan says by when", words=YES_NO),
    ),
    "channel": (Column("channel", "text", "which channel"),),
    "rule": (Column("rule", "text", "which rule"),),
    "herd": (),
}
"""Kind of subject to the attributes a `where` may ask of it."""


def read_where(written: Any, kind: str) -> tuple[Where, list[Fault]]:
    """A `where` as attribute to allowed values: names as text, numbers as floats.

    >>> read_where({"lactation": 1, "group": ["east", "west"]}, "cow")
    ({'lactation': (1.0,), 'group': ('east', 'west')}, [])
    """
    if not isinstance(written, Mapping):
        return {}, []
    known = {column.name: column for column in ATTRIBUTES.get(kind, ())}
    where: Where = {}
    faults: list[Fault] = []
    for name, value in written.items():
        if name not in known:
            hint = did_you_mean(str(name), known) if known else ""
            faults.append(Fault((name,), f"is not known of a {kind}{hint}"))
            continue
        values = value if isinstance(value, list) else [value]
        read = [_value(known[name], one) for one in values]
        faults += [Fault((name,), one.message) for one in read if isinstance(one, Fault)]
        where[str(name)] = tuple(one for one in read if not isinstance(one, Fault))
    return where, faults


def _value(column: Column, value: Any) -> str | float | bool | Fault:
    """One allowed value in the attribute's own kind, or what is wrong with it."""
    if column.kind in ("number", "count"):
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = math.nan
        return number if abs(number) <= LARGEST else Fault((), f'"{value}" should be a number')
    if isinstance(value, bool) and column.words == YES_NO:
        return YES_NO[not value]
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return Fault((), f'"{value}" should be a name')
    if column.kind == "word" and value not in column.words:
        return Fault((), f'"{value}" is not a word used here{did_you_mean(str(value), column.words)}')
    return str(value)
