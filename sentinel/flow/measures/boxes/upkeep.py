"""What a box and its surroundings need regularly: the filter, the chores, and to be at work at all."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.ordered import moments_of, ordered
from sentinel.flow.measures.base.shape import NO_CHART, Measure, Options, Resets
from sentinel.flow.measures.milking.outcomes import gave_milk
from sentinel.flow.model import DAY_S, name_of
from sentinel.flow.tables import ChoreFacts, Tables

LONG_S = 400 * DAY_S
"""Some chores are done once a year."""


def hours_since_filter(tables: Tables, per: str, options: Options) -> Resets:
    """Time since the milk filter was changed, per box, in h.

    A change is known from the box's own log (`filter_changed`) or from a person (the chore `filter` at this box; with
    no place, at every box of the farm). A box of which no change is known is counted from the moment sentinel
    began to watch.
    """
    return Resets(_filter_changes(tables))


def milkings_since_filter(tables: Tables, per: str, options: Options) -> Resets:
    """Milkings since the milk filter was changed, per box, as a number of milkings.

    Counted are the visits with the outcome `milked` or `incomplete`: milk went through the filter. The changes are
    those of `hours_since_filter`. Visits that name no box are not counted.
    """
    visits = tables.visits
    through = gave_milk(visits)
    return Resets(_filter_changes(tables), ordered("box", visits["box"], visits["start"], through).frame())


def box_quiet_min(tables: Tables, per: str, options: Options) -> Resets:
    """Time since the last visit of any outcome, per box, in min.

    A box of the farm that never had a visit is counted from the moment sentinel began to watch.
    """
    visits = tables.visits
    named = visits[visits["box"].notna()]
    seen = (named["box"].to_numpy(object), named["start"].to_numpy(np.int64))
    return Resets(moments_of("box", [seen], tables.farm.boxes, tables.farm.watched_since))


def hours_since_chore(tables: Tables, per: str, options: Options) -> Resets:
    """Time since a chore was last done, per chore and place, in h.

    Every chore that the farm does is listed, and is known to be done from the event in a box's log that stands for
    it, or from a person. A record without a place is of every place, and a chore without a place is done wherever
    it is recorded. A chore never recorded is counted from the moment sentinel began to watch.
    """
    chores = tables.farm.chores
    names = [name_of(chore.subject) for chore in chores]
    parts = [part for chore in chores for part in _times_done(chore, tables)]
    return Resets(moments_of("chore", parts, names, tables.farm.watched_since))


def _filter_changes(tables: Tables) -> pd.DataFrame:
    """The moments at which each box got a new filter, from its log and from people."""
    boxes = tables.farm.boxes
    log = tables.box_log[tables.box_log["event"] == "filter_changed"]
    chores = tables.chores[tables.chores["chore"] == "filter"]
    place = _places(chores)
    at = chores["at"].to_numpy(np.int64)
    everywhere = at[place == ""]
    parts = [
        (log["box"].to_numpy(object), log["at"].to_numpy(np.int64)),
        (place[place != ""], at[place != ""]),
        (np.tile(np.array(boxes, dtype=object), len(everywhere)), np.repeat(everywhere, len(boxes))),
    ]
    return moments_of("box", parts, boxes, tables.farm.watched_since)


def _times_done(chore: ChoreFacts, tables: Tables) -> Iterator[tuple[Any, Any]]:
    """When one chore was done, by the boxes' logs and by people, as (names, moments)."""
    name = name_of(chore.subject)
    log, chores = tables.box_log, tables.chores
    if chore.event:
        logged = log["event"].to_numpy(object) == chore.event
        if chore.place:
            logged &= log["box"].to_numpy(object) == chore.place
        at = log["at"].to_numpy(np.int64)[logged]
        yield np.full(len(at), name, dtype=object), at
    place = _places(chores)
    here = (chores["chore"].to_numpy(object) == chore.name) & (
        (place == chore.place) | (place == "") | (chore.place == "")
    )
    at = chores["at"].to_numpy(np.int64)[here]
    yield np.full(len(at), name, dtype=object), at


def _places(chores: pd.DataFrame) -> np.ndarray:
    """The place of each recorded chore; empty where none was said."""
    place = chores["place"].to_numpy(object)
    return np.where(pd.isna(place), "", place)


HOURS_SINCE_FILTER = Measure(
    name="hours_since_filter",
    unit="h",
    per=("box",),
    doc="h since the milk filter was changed, by the box's log or the chore `filter`",
    source="definition",
    check="worked by hand: test_upkeep",
    compute=hours_since_filter,
    charts=NO_CHART,
    needs=("box_log",),
    uses=("chores",),
    lookback_s=LONG_S,
    reset="filter last changed",
)

MILKINGS_SINCE_FILTER = Measure(
    name="milkings_since_filter",
    unit="milkings",
    per=("box",),
    doc="milkings (complete or incomplete) at the box since its milk filter was changed",
    source="definition",
    check="worked by hand: test_upkeep",
    compute=milkings_since_filter,
    charts=NO_CHART,
    needs=("visits", "box_log"),
    uses=("chores",),
    lookback_s=30 * DAY_S,
    reset="filter last changed",
)

BOX_QUIET_MIN = Measure(
    name="box_quiet_min",
    unit="min",
    per=("box",),
    doc="min since the last visit of any outcome at the box",
    source="definition",
    check="worked by hand: test_upkeep",
    compute=box_quiet_min,
    charts=NO_CHART,
    needs=("visits",),
    of_each_box=True,
    lookback_s=30 * DAY_S,
    reset="last visit",
)

HOURS_SINCE_CHORE = Measure(
    name="hours_since_chore",
    unit="h",
    per=("chore",),
    doc="h since the chore was done at its place, by the box's log or by a person",
    source="definition",
    check="worked by hand: test_upkeep",
    compute=hours_since_chore,
    charts=NO_CHART,
    needs=("box_log",),
    uses=("chores",),
    lookback_s=LONG_S,
    reset="last done",
)

MEASURES = (HOURS_SINCE_FILTER, MILKINGS_SINCE_FILTER, BOX_QUIET_MIN, HOURS_SINCE_CHORE)
