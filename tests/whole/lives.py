"""Invented lives of a farm with a rule of every shape: anything that can happen, in any order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st
from text_tables import DAY_0
from whole.farm_rows import (
    MOMENT,
    Row,
    batch_of_row,
    box_events,
    chores,
    farm_of_all_shapes,
    herd_rows,
    moment_of,
    the_same_farm_with_other_rules,
    unread,
    visits,
)
from whole.whole_farm import Life

from sentinel.flow.model import Answer, Chore, Delivery, TickKind
from sentinel.flow.setup import Setup

gaps = st.sampled_from((1, 60, 600, 1800, 3600, 3 * 3600))
late = st.sampled_from((-300, 0, 0, 60, 1800, 4 * 3600))
versions = st.sampled_from((None, 1, 2))
happenings = st.one_of(
    st.tuples(
        st.just("rows"),
        st.lists(st.tuples(st.one_of(visits, visits, box_events, herd_rows, unread), late, versions), max_size=5),
    ),
    st.tuples(st.just("rows"), st.lists(st.tuples(visits, late, versions), min_size=1, max_size=5)),
    st.tuples(st.just("answer"), st.integers(1, 6)),
    st.tuples(st.just("chore"), chores),
    st.tuples(st.just("not done"), st.integers(0, 3)),
    st.tuples(st.just("given up"), st.integers(1, 3)),
    st.tuples(st.sampled_from(("nothing", "restart", "edit", "edit back")), st.none()),
)
Script = list[tuple[int, tuple[str, Any]]]
"""Gaps in seconds, each with what happens after it."""

scripts = st.lists(st.tuples(gaps, happenings), min_size=1, max_size=16)


def shifted(row: Row, at: int, lateness: int, version: int | None) -> Row:
    """A row as it happened so long before `at`, perhaps with its version; an even one withdraws it."""
    name = MOMENT.get(row["table"], "at")
    own = (moment_of(row) - DAY_0) % 600 - 600 * (moment_of(row) % 3)  # near enough, and the same row may come again
    moved = {**row, name: at - at % 600 - lateness + own}
    if version is None or row["table"] != "visits":
        return moved
    return {**moved, "modified": DAY_0 + version, "deleted": version == 2}


def lived(script: Script) -> Life:
    """A farm that lives through a script from its very beginning."""
    life = Life(farm_of_all_shapes(), begin=None)
    live_on(life, script, farm_of_all_shapes(), the_same_farm_with_other_rules())
    return life


def live_on(
    life: Life, script: Script, setup: Setup, edited: Setup, kind: TickKind = TickKind.START, at: int = DAY_0
) -> None:
    """Live through a script from a moment on; `edited`: the settings after an edit."""
    pending = life.engine.pending
    recorded: list[Chore] = []
    for number, (gap, (what, more)) in enumerate(script):
        at += gap
        files, answers, done, ended = [], (), (), ()
        if what == "rows":
            rows = [shifted(row, at, lateness, version) for row, lateness, version in more]
            files = [batch_of_row(row, f"{row['feed']}_{number}_{i}.csv") for i, row in enumerate(rows)]
        elif what == "answer":
            answers = (Answer(more, at - 1, "Marit", "seen"),)
        elif what == "chore":
            done = (Chore(more["chore"], more["place"], at - 30, "Marit"),)
            recorded += done
        elif what == "not done":
            done = tuple(replace(one, at=at - 5, undoes=one.at) for one in recorded[more : more + 1])
        elif what == "given up":
            ended = (Delivery(str(number * 10 + more), "phone", at - 5, "gave_up"),)
        elif what == "restart":
            life.restart()
            life.engine.pending = type(pending)()
            kind = TickKind.START
        else:
            life.engine.use(edited if what == "edit" else setup)
        life.at(at, *files, kind=kind, answers=answers, chores=done, deliveries=ended)
        kind = TickKind.RUN
