"""Which rows a rule's `where` and its classes pick, and the bounds that apply at each.

An attribute that is not known never excludes a subject from a rule, and never puts it into a class: a farm
without a herd list still hears of late cows, by the rule's ordinary bound.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import Columns, Objects
from sentinel.flow.rules import Rule

URGENCIES = np.array(("now", "round", "log"), dtype=object)
NOW, LOG = 0, 2
"""The places of the urgencies in `URGENCIES`."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """The bounds that apply at each row, in the measure's unit; NaN where a rule has none.

    Arrays are all of one length. `sign` is +1 for a rule that raises over its bound, -1 for one that raises under
    it: everything is compared as `sign * value`. `urgency` is the place in `URGENCIES`.
    """

    sign: int
    applies: np.ndarray
    raise_past: np.ndarray
    clear_within: np.ndarray
    now_past: np.ndarray
    lasting_s: np.ndarray
    urgency: np.ndarray

    def only(self, rows: np.ndarray) -> Bounds:
        """The bounds at some of the rows."""
        parts = (self.applies, self.raise_past, self.clear_within, self.now_past, self.lasting_s, self.urgency)
        return Bounds(self.sign, *(part[rows] for part in parts))

    def at_least(self, least: np.ndarray) -> Bounds:
        """The same, none of them less than `least` at its row (NaN: as it is); what presses moves along with it."""
        raise_past = np.fmax(self.raise_past, least)
        return replace(self, raise_past=raise_past, now_past=self.now_past * (raise_past / self.raise_past))

    @property
    def urgent(self) -> Objects:
        """How pressing an alert is at each row, as a word."""
        return np.asarray(URGENCIES[self.urgency])


@dataclass(frozen=True, slots=True)
class Picked:
    """What a rule's `where` and its classes pick at each row, whatever its bounds: `kind` is the place of the first
    class that fits, or the number of classes if none does."""

    applies: np.ndarray
    kind: np.ndarray


def picks(
    where: Mapping[str, tuple[str | float | bool, ...]], columns: Columns, rows: int, if_missing: bool
) -> np.ndarray:
    """Which of `rows` rows a `where` picks; `if_missing` is the answer where an attribute is not known."""
    picked = np.ones(rows, dtype=bool)
    for name, wanted in where.items():
        column = columns.get(name)
        if column is None:
            picked &= if_missing
            continue
        texts = {str(w) for w in wanted if isinstance(w, str)}
        numbers = {float(w) for w in wanted if not isinstance(w, str)}
        codes, unique = pd.factorize(column)  # a missing one has the code -1, which is the last of the answers
        fits = [(v in texts) if isinstance(v, str) else float(v) in numbers for v in unique]
        picked &= np.array([*fits, if_missing], dtype=bool)[codes]
    return picked


def picked_at(rule: Rule, columns: Columns, rows: int) -> Picked:
    """The rows a rule picks, and the class of each."""
    kind = np.full(rows, len(rule.classes), dtype=np.int16)
    for place, one in reversed(list(enumerate(rule.classes))):
        kind[picks(one.where, columns, rows, if_missing=False)] = place
    return Picked(picks(rule.where, columns, rows, if_missing=True), kind)


def bounds_at(rule: Rule, columns: Columns, rows: int) -> Bounds:
    """The bounds of a rule at each row: its first class that matches, what the class leaves out from the rule."""
    return bounds_of(rule, picked_at(rule, columns, rows))


def bounds_of(rule: Rule, picked: Picked) -> Bounds:
    """The bounds of a rule at each row, where it is known what its classes pick."""
    sign = 1 if rule.raise_under is None else -1
    over = sign == 1

    def given(value: object, otherwise: float) -> float:
        return otherwise if value is None else float(value)  # type: ignore[arg-type]

    base_raise = given(rule.raise_over if over else rule.raise_under, np.nan)
    base_clear = given(rule.clear_under if over else rule.clear_over, np.nan)
    base_now = given(rule.now_over if over else rule.now_under, np.nan)
    kinds: list[tuple[float, float, float, int, str]] = []
    for one in rule.classes:
        own_raise = one.raise_over if over else one.raise_under
        own_clear = one.clear_under if over else one.clear_over
        own_now = one.now_over if over else one.now_under
        # a class with its own bound does not inherit a clearing or pressing bound meant for the other one
        kinds.append(
            (
                given(own_raise, base_raise),
                given(own_clear, base_clear if own_raise is None else np.nan),
                given(own_now, base_now if own_raise is None else np.nan),
                rule.lasting_s if one.lasting_s is None else one.lasting_s,
                rule.urgency if one.urgency is None else one.urgency,
            )
        )
    kinds.append((base_raise, base_clear, base_now, rule.lasting_s, rule.urgency))
    raise_past, clear_within, now_past = (sign * np.array([one[i] for one in kinds]) for i in range(3))
    lasting = np.array([one[3] for one in kinds], dtype=np.int64)
    urgency = np.array([list(URGENCIES).index(one[4]) for one in kinds], dtype=np.int8)
    kind = picked.kind
    return Bounds(
        sign, picked.applies, raise_past[kind], clear_within[kind], now_past[kind], lasting[kind], urgency[kind]
    )
