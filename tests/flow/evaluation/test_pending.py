"""What is pending: judging only that gives the same as judging everything, and each thing that makes it so."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import DAY_0, moment, table
from whole.farm_rows import COWS, SECOND_FEED, SHAPES, Row, box_events, chores, herd_rows, quick, unread, visits, when
from whole.lives import Script, gaps, late, live_on, versions
from whole.whole_farm import BOX_LOG_FEED, FEED, HERD_FEED, Life, setup_of

from sentinel.edges.store.log import log_entries
from sentinel.flow.evaluation.changes import Changes
from sentinel.flow.evaluation.pending import Look, Looks, Pending
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S, HOUR_S, Batch, Rows, TickKind
from sentinel.flow.rules import Rule
from sentinel.flow.setup import Setup
from sentinel.flow.tables import Tables

TESTS_FEED = """
feed: recording
files: "recording_*.csv"
form: delimited
pace: monthly
tables:
  cow_tests: {cow: Cow, at: At, cells_k_ml: {column: Cells, unit: 1000/ml}, milk_kg: {column: Milk, unit: kg}}
"""

MORE_SHAPES = """
- rule: ratio-at-once
  say: "{subject}: {value}"
  measure: conductivity_ratio
  raise_over: 1.1 ratio
  where: {status: milking}
  urgency: now
- rule: fails-at-once
  say: "{subject}: {value}"
  measure: failed_attachments
  per: box
  options: {within: 2 h}
  raise_over: 1 failures
  urgency: round
- rule: points
  say: "{subject}: {value}"
  measure: udder_evidence
  raise_over: 3 points
  urgency: round
- rule: cells
  say: "{subject}: {value}"
  measure: cow_cells_k_ml
  raise_over: 200 k/ml
  where: {status: milking}
  urgency: round
- rule: tests-over
  say: "{subject}: {value}"
  measure: cow_tests_over
  raise_over: 1 tests
  urgency: log
- rule: blind
  say: "{subject}: {value}"
  measure: rule_blind_h
  raise_over: 1 h
  urgency: now
"""
OF_SHAPES = ("late", "fails", "fails-for-long", "many-late", "filter-time", "ratio")
RULES = MORE_SHAPES + "".join(f"- rule:{one}" for one in SHAPES.split("- rule:")[1:] if one.split()[0] in OF_SHAPES)
FEEDS = (FEED, SECOND_FEED, BOX_LOG_FEED, HERD_FEED, TESTS_FEED)
DAYS_BEFORE = 12
"""So long the farm has been watched when a life begins: no feed has yet to begin, and quarters have their own usual."""


@cache
def farm() -> Setup:
    """A farm with a rule of every shape, and of every way to look at some rows only."""
    return setup_of(RULES, FEEDS)


@cache
def edited_farm() -> Setup:
    """The same after an edit of two bounds."""
    rules = RULES.replace("raise_over: 2 h", "raise_over: 3 h").replace(
        "raise_over: 1.1 ratio", "raise_over: 1.2 ratio"
    )
    return setup_of(rules, FEEDS)


@cache
def history() -> tuple[Batch, ...]:
    """What had been read before: a milking of each cow every eight hours, told by two feeds, and a herd list."""
    chance = random.Random(1)
    feeds: dict[str, list[tuple[Any, ...]]] = {"milkings": [], "parlour": []}
    for step in range(DAYS_BEFORE * 3):
        for number, cow in enumerate(COWS):
            start = DAY_0 - DAYS_BEFORE * DAY_S + 8 * HOUR_S * step + 600 * number
            quarters = [round(5 + 0.1 * chance.gauss(0, 1), 2) for _ in range(4)]
            feeds["parlour" if step % 2 else "milkings"].append((cow, start, str(1 + step % 2), "milked", *quarters))
    columns = ("cow", "start", "box", "outcome", *(f"{one}_conductivity_mS_cm" for one in ("lf", "rf", "lr", "rr")))
    files = [_batch(feed, "visits", columns, rows) for feed, rows in feeds.items()]
    began = DAY_0 - DAYS_BEFORE * DAY_S
    files.append(_batch("boxlog", "box_log", ("box", "at", "event"), [("1", DAY_0 - HOUR_S, "washed")]))
    files.append(_batch("herd", "cows", ("cow", "from", "status"), [(cow, began, "milking") for cow in COWS]))
    tested = [(cow, began, 100.0 + 90.0 * number, 20.0) for number, cow in enumerate(COWS)]
    files.append(_batch("recording", "cow_tests", ("cow", "at", "cells_k_ml", "milk_kg"), tested))
    return tuple(files)


def _batch(feed: str, table: str, columns: tuple[str, ...], rows: list[tuple[Any, ...]]) -> Batch:
    return Batch(feed, f"{feed}_0.csv", (Rows(table, columns, tuple(rows), tuple(range(2, 2 + len(rows)))),))


cow_tests = st.fixed_dictionaries(
    {
        "feed": st.just("recording"),
        "table": st.just("cow_tests"),
        "cow": st.sampled_from(COWS),
        "at": when,
        "cells_k_ml": st.sampled_from((60.0, 250.0, 900.0, None)),
        "milk_kg": st.just(20.0),
    }
)
Happened = tuple[Row, int, int | None]
plain = {"table": "visits", "start": DAY_0, "cow": "12", "box": "2", "outcome": "milked", "lf_conductivity_mS_cm": 5.0}
BOTH: list[Happened] = [({**plain, "feed": feed}, 0, None) for feed in ("milkings", "parlour")]
"""A plain visit in each feed, so that what came before is decided at once."""


def rows_of(*kinds: st.SearchStrategy[Row], most: int) -> st.SearchStrategy[tuple[str, list[Happened]]]:
    """Exports with rows of some kinds, mostly with a newest row in every feed of visits."""
    some = st.lists(st.tuples(st.one_of(*kinds), late, versions), min_size=1, max_size=most)
    return st.tuples(st.just("rows"), st.builds(list.__add__, some, st.sampled_from((BOTH, BOTH, BOTH, []))))


HAPPENINGS = (
    *(rows_of(visits, most=3),) * 5,
    *(rows_of(visits, box_events, cow_tests, unread, most=3),) * 3,
    rows_of(herd_rows, most=1),
    st.tuples(st.just("chore"), chores),
    st.tuples(st.sampled_from(("nothing", "nothing", "edit", "edit back")), st.none()),
)
happenings = st.sampled_from(HAPPENINGS).flatmap(lambda one: one)
scripts = st.lists(st.tuples(gaps, happenings), min_size=8, max_size=16)


class Everything(Pending):
    """Whatever has come, everything is pending at each tick."""

    def looks(self, tables: Tables, at: int) -> Looks:
        """All rows for every rule."""
        return Looks(Changes(everything=True), self.progress, tables, at)


def moves(script: Script, pending: Pending) -> list[tuple[object, ...]]:
    """What happened to the alerts of a farm that lived through a script, when, and what was said of it."""
    life = Life(farm(), begin=None)
    life.engine.pending = pending
    life.at(DAY_0 - 1, *history(), kind=TickKind.START)
    live_on(life, script, farm(), edited_farm(), TickKind.RUN)
    return [
        (e.at, e.kind, e.rule, e.subject, e.body)
        for e in (one.entry for one in log_entries(life.store) if one.entry.alert is not None)
    ]


@pytest.mark.timeout(600)
@settings(quick, max_examples=15)
@given(scripts)
def test_judging_what_is_pending_is_judging_everything(script: Script) -> None:
    """Rows late, corrected and withdrawn, chores, edited rules: the same alerts, moved at the same moments."""
    assert moves(script, Pending()) == moves(script, Everything())


# --- what makes a rule look ------------------------------------------------------------------------------

RULES_OF_ONE = {
    name: rule for name, rule in farm().rules.items() if name in ("late", "ratio-at-once", "fails-at-once", "many-late")
}
LATE, RATIO, FAILS = (RULES_OF_ONE[name] for name in ("late", "ratio-at-once", "fails-at-once"))
SHARE = RULES_OF_ONE["many-late"]
ROWS = Tables(visits=table("visits", "cow  start  box\n7  05:00  1\n9  05:30  1\n9  06:00  1"))
SIX = moment("06:00")


def after_a_tick() -> Pending:
    """What is pending after everything was judged once, with nothing left open."""
    rules = RULES_OF_ONE
    judgements = {name: Judgement((), sampled=name != "late") for name in rules}
    judged = (
        Pending()
        .at_tick(SIX, rules, {"visits": SIX}, ())
        .judged(SIX, rules, judgements, {}, ROWS, {"visits": SIX + HOUR_S, "cow_tests": SIX + HOUR_S})
    )
    assert judged.changes == Changes()
    return judged


def look(pending: Pending, rule: Rule, until: int, at: int = SIX + 60) -> Look | None:
    """What a rule looks at a minute later, with the visits known until a moment."""
    asked = pending.at_tick(at, RULES_OF_ONE, {"visits": until}, ())
    return asked.looks(ROWS, at).look_for(rule, measure_named(rule.measure))


def test_at_first_and_after_an_edit_every_rule_looks_at_everything() -> None:
    """So does each after what was decided was lost."""
    settled = after_a_tick()
    for pending in (Pending(), settled.after_edit(), settled.after_loss()):
        assert [look(pending, rule, SIX) for rule in (LATE, RATIO, FAILS)] == [Look(ROWS)] * 3


def test_nothing_new_is_nothing_to_look_at() -> None:
    """Nor are new rows that no rule can be decided on yet, or of tables that it does not rest on."""
    settled = after_a_tick()
    ahead = settled.after_batch({"visits": {"7"}}, SIX + 10, unread=False)

    assert [look(settled, rule, SIX) for rule in (LATE, RATIO, FAILS)] == [None] * 3
    assert [look(ahead, rule, SIX) for rule in (RATIO, FAILS)] == [None] * 2
    assert look(settled.after_records({"chores"}), RATIO, SIX) is None


def test_a_rule_on_single_cows_looks_at_those_that_came() -> None:
    """All their rows, and nobody else's; a rule on all cows at all rows, one on boxes for its latest readings."""
    came = after_a_tick().after_batch({"visits": {"9"}}, SIX, unread=False)
    hers, boxes = look(came, RATIO, SIX), look(came, FAILS, SIX)
    assert hers is not None and boxes is not None

    assert (hers.cows, list(hers.tables.visits["cow"])) == ({"9"}, ["9", "9"])
    assert (boxes.cows, boxes.tables.farm.asked_from, len(boxes.tables.visits)) == (None, SIX - DAY_S, 3)
    assert look(came, LATE, SIX) == Look(ROWS)


@pytest.mark.parametrize(("changes_from", "all_cows"), [("05:10", False), ("06:20", True)])
def test_a_herd_list_ahead_of_the_visits_may_change_any_cow_once_they_move(changes_from: str, all_cows: bool) -> None:
    """Cow 7 is dry from 06:20, which is past what could be decided at six; at half past only cow 9 has come."""
    rows = replace(ROWS, cows=table("cows", f"cow  from  status\n7  {changes_from}  dry"))
    judgements = {name: Judgement((), sampled=name != "late") for name in RULES_OF_ONE}
    first = Pending().at_tick(SIX, RULES_OF_ONE, {"visits": SIX}, ())
    settled = first.judged(SIX, RULES_OF_ONE, judgements, {}, rows, {"visits": SIX, "cow_tests": SIX + HOUR_S})
    half_past = SIX + HOUR_S // 2
    came = settled.after_batch({"visits": {"9"}}, half_past, unread=False)
    asked = came.at_tick(half_past, RULES_OF_ONE, {"visits": half_past}, ())
    found = asked.looks(rows, half_past).look_for(RATIO, measure_named(RATIO.measure))

    assert found is not None
    assert found.sees("cow:7") is all_cows


def test_what_could_not_be_read_may_be_of_a_time_that_was_decided() -> None:
    """A rule that it may refute looks again, though no row came and no table is known further than it was."""
    unread = after_a_tick().after_batch({}, None, unread=True)
    looks = [look(unread, rule, SIX) for rule in (SHARE, RATIO, LATE)]
    assert looks == [Look(ROWS), None, Look(ROWS)]


def test_a_rule_that_is_due_looks_at_everything() -> None:
    """Whatever has come: time alone changes what it says."""
    settled = after_a_tick()
    due = replace(settled, progress=replace(settled.progress, due={"ratio-at-once": SIX + 60}))
    assert (look(due, RATIO, SIX), look(due, RATIO, SIX, SIX + 59)) == (Look(ROWS), None)


def test_a_look_at_some_cows_says_nothing_of_the_others() -> None:
    """Nor of their quarters."""
    some = Look(Tables(), frozenset({"7"}))
    assert [some.sees(one) for one in ("cow:7", "quarter:7/LF", "cow:70")] == [True, True, False]
    assert Look(Tables()).sees("cow:70")
