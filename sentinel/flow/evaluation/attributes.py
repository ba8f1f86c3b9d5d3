"""What is true of a subject at a moment: its group, status, pace ..."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import name_of
from sentinel.flow.rules import Rule
from sentinel.flow.subjects import HERD_LIST
from sentinel.flow.tables import Tables
from sentinel.flow.tables.herd_list import GONE, moments_of_lists

Objects = np.ndarray[tuple[int], np.dtype[np.object_]]
Columns = dict[str, Objects]
FAR = 1 << 34
"""Later than any moment in UTC seconds; a cow's place times this plus a moment sorts by cow, then time."""


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
    out has the status `gone` from that list on. Every rule asks this, so the answer is kept with the tables.
    """
    cows, whole = tables.cows, tables.farm.whole_herd_lists
    if cows.empty:
        return cows[["cow", "from", *HERD_LIST]]
    return tables.derived.of("herd_changes", (cows, whole), lambda: _herd_changes(cows, whole))


def _herd_changes(cows: pd.DataFrame, whole_herd_lists: bool) -> pd.DataFrame:
    """The same, worked out."""
    frame = cows[["cow", "from", *HERD_LIST]].sort_values(["cow", "from"], kind="stable")
    if whole_herd_lists:
        frame = pd.concat([frame, _gone(frame, moments_of_lists(cows))]).sort_values(["cow", "from"], kind="stable")
    values = frame[list(HERD_LIST)].astype(object).where(frame[list(HERD_LIST)].notna(), None)
    same = (values == values.shift()) | (values.isna() & values.shift().isna())
    unchanged = (frame["cow"] == frame["cow"].shift()) & same.all(axis=1)
    return frame[~unchanged].reset_index(drop=True)


def _gone(frame: pd.DataFrame, lists: np.ndarray) -> pd.DataFrame:
    """A row for each cow at the first whole list that leaves her out."""
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
    columns: Columns = {}
    subject = frame["subject"]
    whole_names, heads, tails = _parts(subject)
    if changes is not None and names & set(HERD_LIST) and rule.per in ("cow", "quarter"):
        row = _row_at(changes, heads, frame["at"].to_numpy(np.int64))
        for name in names & set(HERD_LIST):
            columns[name] = _objects([*changes[name], None])[row]
    if rule.per in ("cow", "quarter"):
        columns |= {"cow": heads, "quarter": tails}
        if "box" in frame:
            columns["box"] = frame["box"].to_numpy(object)
    elif rule.per == "chore":
        by_plan = {one.subject: one.by_plan for one in tables.farm.chores}
        planned = _objects([by_plan.get(one) for one in subject.to_numpy(object)])
        columns |= {"chore": heads, "place": tails, "planned": planned}
    elif rule.per in ("feed", "file", "unread"):
        pace: Mapping[str, str] = {feed.name: feed.pace for feed in tables.farm.feeds}
        columns |= {"feed": heads, "pace": _objects([pace.get(one) for one in heads])}
    else:
        columns[rule.per] = whole_names
    return {key: columns[key] for key in names if key in columns}


def _row_at(changes: pd.DataFrame, cows: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The row of `changes` that counts for each cow at each moment; -1 if none does yet."""
    codes, unique = pd.factorize(changes["cow"].to_numpy(object))
    cow_codes = pd.Index(unique, dtype=object).get_indexer(pd.Index(cows, dtype=object))
    row = np.searchsorted(codes * FAR + changes["from"].to_numpy(np.int64), cow_codes * FAR + at, side="right") - 1
    fits = (cow_codes >= 0) & (row >= 0)
    fits[fits] = codes[row[fits]] == cow_codes[fits]
    return np.where(fits, row, -1)


def _objects(values: list[Any]) -> Objects:
    """Values as a column of objects, also if there are none."""
    column = np.empty(len(values), dtype=object)
    column[:] = values
    return column
