"""Which attributes a `where` may ask about each kind of subject, and how one is read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sentinel.flow.rules.faults import Fault
from sentinel.flow.rules.quantities import LARGEST
from sentinel.flow.rules.rule import Where
from sentinel.flow.subjects import KINDS, YES_NO, Attribute
from sentinel.flow.tables import COWS, Column, Kind
from sentinel.flow.yaml.text import did_you_mean


def _column(attribute: Attribute) -> Column:
    """An attribute as a column that has its values: the herd list's own, or one of names or words."""
    if attribute.in_herd_list:
        return COWS.column(attribute.name)
    kind: Kind = "word" if attribute.words else "text"
    return Column(attribute.name, kind, attribute.doc, words=attribute.words)


ATTRIBUTES: Mapping[str, tuple[Column, ...]] = {
    kind.name: tuple(_column(one) for one in kind.attributes) for kind in KINDS
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
