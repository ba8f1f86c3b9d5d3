"""One box's page: two weeks of visits and failures, its chores, and what it wrote about itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.known_until import known_of, known_of_box
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, Alert, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.schedule.chores import kept, record_of
from sentinel.flow.schedule.days import days_between
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import GLANCE_S, Mark, alert_marks, lately, number, records, text


@dataclass(frozen=True, slots=True)
class BoxDay:
    """One day of a box on the farm's calendar: visits by how they ended, milk, and the median time to attach in s."""

    begins: int
    visits: int
    milked: int
    failed: int
    refused: int
    milk_kg: float
    attach_s: float | None


@dataclass(frozen=True, slots=True)
class ChoreState:
    """One chore at the box: when it was done last (None: not known), who said so (empty: the box's log), when due."""

    chore: str
    place: str
    last_at: int | None
    by: str
    due_at: int | None
    overdue: bool


@dataclass(frozen=True, slots=True)
class Failed:
    """One visit at which the cups were not attached."""

    at: int
    cow: str
    attempts: float | None


@dataclass(frozen=True, slots=True)
class BoxPage:
    """Two weeks of one box, the newest first. `cows_24h`: how many cows it served in the 24 h up to `known_until`."""

    box: str
    known: bool
    known_until: int | None
    last_visit_at: int | None
    cows_24h: int
    days: tuple[BoxDay, ...]
    failures: tuple[Failed, ...]
    chores: tuple[ChoreState, ...]
    events: tuple[Mark, ...]
    marks: tuple[Mark, ...]


def box_page(
    box: str, tables: Tables, alerts: Iterable[Alert], rules: Mapping[str, Rule], zone: str, at: int
) -> BoxPage:
    """One box's page at `at`; `known` is false if the farm has no such box and nothing ever named it."""
    visits = tables.visits[(tables.visits["box"] == box).to_numpy(bool)]
    until = known_of_box(box, tables.farm.feeds, at)
    seen = visits["start"].to_numpy(np.int64)
    seen = seen[seen <= at]
    recent = lately(visits, at, "start")
    recent = recent.assign(outcome=outcomes(recent))
    last_day = lately(recent, at if until is None else until, "start", DAY_S)
    log = tables.box_log[(tables.box_log["box"] == box).to_numpy(bool)]
    events = [
        Mark(int(row["at"]), "event", text(row["event"]), note=text(row["text"]))
        for row in reversed(records(lately(log, at, "at")))
    ]
    failed = recent[(recent["outcome"] == "failed").to_numpy(bool)]
    return BoxPage(
        box=box,
        known=box in tables.farm.boxes or bool(len(visits) or len(log)),
        known_until=until,
        last_visit_at=int(seen[-1]) if len(seen) else None,
        cows_24h=int(last_day["cow"].nunique()),
        days=_days(recent, zone, at),
        failures=tuple(
            Failed(int(row["start"]), str(row["cow"]), number(row["attempts"])) for row in reversed(records(failed))
        ),
        chores=chore_states(box, tables, rules, at),
        events=tuple(events),
        marks=_marks(box, tables, alerts, at),
    )


def _marks(box: str, tables: Tables, alerts: Iterable[Alert], at: int) -> tuple[Mark, ...]:
    """The alerts of a box and of its chores, and the chores that people said they did there, the newest first."""
    everything = list(alerts)
    own = {a.subject for a in everything if kind_of(a.subject) == "chore" and name_of(a.subject).endswith(f"/{box}")}
    done = lately(tables.chores, at, "at")
    done = done[(done["place"] == box).to_numpy(bool)]
    chores = [
        Mark(int(row["at"]), "chore", str(row["chore"]), person=text(row["person"]), note=text(row["note"]))
        for row in records(done)
    ]
    return tuple(sorted([*alert_marks(everything, {f"box:{box}", *own}, at), *chores], key=lambda mark: -mark.at))


def chore_states(box: str, tables: Tables, rules: Mapping[str, Rule], at: int) -> tuple[ChoreState, ...]:
    """The chores of one box, in farm.yaml's order; one that the box's log records is overdue only as far as known."""
    states = []
    for one in kept(tables, rules):
        if one.chore.place != box:
            continue
        last, due = one.last(at), one.due_at(at)
        known = known_of("box_log", tables.farm.feeds, at) if one.chore.event else at
        late = due is not None and known is not None and due < known
        begun = last is None or last == tables.farm.watched_since  # what stands for a time that is not known
        record = None if begun or last is None else record_of(one.chore, last, tables)
        by = "" if record is None else record.person
        states.append(ChoreState(one.chore.name, box, None if begun else last, by, due, late))
    return tuple(states)


def _days(visits: pd.DataFrame, zone: str, at: int) -> tuple[BoxDay, ...]:
    """The days of the last two weeks, the newest first."""
    begins = days_between(at - GLANCE_S, at, zone)
    place = np.searchsorted(np.array(begins), visits["start"].to_numpy(np.int64), side="right") - 1
    days = []
    for n, day in enumerate(begins):
        here = visits[place == n]
        how = here["outcome"].to_numpy(object)
        attach = here["attach_s"].dropna()
        days.append(
            BoxDay(
                day,
                len(here),
                int(np.isin(how, ["milked", "incomplete"]).sum()),
                int((how == "failed").sum()),
                int((how == "refused").sum()),
                float(here["milk_kg"].fillna(0.0).sum()),
                float(attach.median()) if len(attach) else None,
            )
        )
    return tuple(reversed(days))
