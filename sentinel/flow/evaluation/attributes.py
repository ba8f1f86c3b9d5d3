"""What is true of a subject at a moment (group, status, pace ...), and which rows a rule's `where` picks.

An attribute that is not known never excludes a subject from a rule, and never puts it into a class: a farm
without a herd list still hears of late cows, by the rule's ordinary bound.
"""

from __future__ import annotations

import weakref
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import name_of
from sentinel.flow.rulebook import Rule
from sentinel.flow.tables import Tables

Objects = np.ndarray[tuple[int], np.dtype[np.object_]]
Columns = dict[str, Objects]
COW_ATTRIBUTES = ("group", "lactation", "milkings_allowed", "status")
FAR = 1 << 34
"""Later than any moment in UTC seconds; a cow's place times this plus a moment sorts by cow, then time."""
GONE = "gone"
"""The status of a cow that the newest whole herd list no longer names."""


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


def asked(rule: Rule) -> set[str]:
    """The attributes that a rule's `where` and its classes ask for."""
    return set(rule.where) | {name for one in rule.classes for name in one.where}


def cow_of(subjects: pd.Series) -> pd.Series:
    """The cow's number in each `cow:` or `quarter:` subject."""
    return pd.Series(_parts(subjects)[1], index=subjects.index, dtype=object)


def _parts(subjects: pd.Series) -> tuple[Objects, Objects, Objects]:
    """Each subject's name, and the name before and after its slash; a subject is taken apart once, however often."""
    codes, unique = pd.factorize(subjects.to_numpy(object))
    names = [name_of(str(one)) for one in unique]
    heads, tails = ([name.partition("/")[part] for name in names] for part in (0, 2))
    return _objects(names)[codes], _objects(heads)[codes], _objects(tails)[codes]


def herd_changes(tables: Tables) -> pd.DataFrame:
    """Moments at which a cow's attributes change: `cow`, `from`, then the attributes; sorted by cow, then time.

    Where the herd list is a whole list each time (`tables.farm.whole_herd_lists`), a cow that a newer list leaves
    out has the status `gone` from that list on. Every rule asks this of the same frame, so the last answer is kept.
    """
    cows, whole = tables.cows, tables.farm.whole_herd_lists
    if cows.empty:
        return cows[["cow", "from", *COW_ATTRIBUTES]]
    for known, known_whole, changes in _last:
        if known() is cows and known_whole == whole:
            return changes
    changes = _herd_changes(cows, whole)
    _last[:] = [(weakref.ref(cows), whole, changes)]
    return changes


_last: list[tuple[weakref.ref[pd.DataFrame], bool, pd.DataFrame]] = []
"""The last answer of `herd_changes` and the very frame it belongs to; frames are never changed."""


def _herd_changes(cows: pd.DataFrame, whole_herd_lists: bool) -> pd.DataFrame:
    """The same, worked out."""
    frame = cows[["cow", "from", *COW_ATTRIBUTES]].sort_values(["cow", "from"], kind="stable")
    if whole_herd_lists:
        frame = pd.concat([frame, _gone(frame)]).sort_values(["cow", "from"], kind="stable")
    told = frame[list(COW_ATTRIBUTES)].astype(object).where(frame[list(COW_ATTRIBUTES)].notna(), None)
    same = (told == told.shift()) | (told.isna() & told.shift().isna())
    unchanged = (frame["cow"] == frame["cow"].shift()) & same.all(axis=1)
    return frame[~unchanged].reset_index(drop=True)


def _gone(frame: pd.DataFrame) -> pd.DataFrame:
    """A row for each cow at the first whole list that leaves her out."""
    lists = np.unique(frame["from"].to_numpy())
    listed = frame[["cow", "from"]].copy()
    following = np.searchsorted(lists, listed["from"].to_numpy(), side="right")
    due = np.append(lists, np.iinfo(np.int64).max)[following]
    later = listed["from"].shift(-1).where(listed["cow"] == listed["cow"].shift(-1), np.iinfo(np.int64).max)
    missing = (due < later.to_numpy()) & (due < np.iinfo(np.int64).max)
    gone = pd.DataFrame({"cow": listed["cow"].to_numpy()[missing], "from": due[missing]})
    return gone.assign(group=None, lactation=np.nan, milkings_allowed=np.nan, status=GONE)


def attributes_at(rule: Rule, frame: pd.DataFrame, changes: pd.DataFrame | None, tables: Tables) -> Columns:
    """The attributes a rule asks for, at each row of `frame` (columns `subject`, `at`, and perhaps `box`)."""
    names = asked(rule)
    found: Columns = {}
    subject = frame["subject"]
    whole_names, heads, tails = _parts(subject)
    if changes is not None and names & set(COW_ATTRIBUTES) and rule.per in ("cow", "quarter"):
        row = _row_at(changes, heads, frame["at"].to_numpy(np.int64))
        for name in names & set(COW_ATTRIBUTES):
            found[name] = _objects([*changes[name], None])[row]
    if rule.per in ("cow", "quarter"):
        found |= {"cow": heads, "quarter": tails}
        if "box" in frame:
            found["box"] = frame["box"].to_numpy(object)
    elif rule.per == "chore":
        by_plan = {one.subject: one.by_plan for one in tables.farm.chores}
        planned = _objects([by_plan.get(one) for one in subject.to_numpy(object)])
        found |= {"chore": heads, "place": tails, "planned": planned}
    elif rule.per in ("feed", "file"):
        pace: Mapping[str, str] = {feed.name: feed.pace for feed in tables.farm.feeds}
        found |= {"feed": heads, "pace": _objects([pace.get(one) for one in heads])}
    else:
        found[rule.per] = whole_names
    return {key: found[key] for key in names if key in found}


def _row_at(changes: pd.DataFrame, cows: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The row of `changes` that counts for each cow at each moment; -1 if none does yet."""
    codes, unique = pd.factorize(changes["cow"].to_numpy(object))
    mine = pd.Index(unique, dtype=object).get_indexer(pd.Index(cows, dtype=object))
    row = np.searchsorted(codes * FAR + changes["from"].to_numpy(np.int64), mine * FAR + at, side="right") - 1
    fits = (mine >= 0) & (row >= 0)
    fits[fits] = codes[row[fits]] == mine[fits]
    return np.where(fits, row, -1)


def _objects(values: list[Any]) -> Objects:
    """Values as a column of objects, also if there are none."""
    column = np.empty(len(values), dtype=object)
    column[:] = values
    return column


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
