"""The pace of a feed as its files in a store tell it, the same however often and from when on they are gone through."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from text_tables import DAY_0
from whole.whole_farm import FEED, FEED_QUIET, Life, setup_of

from sentinel.flow.evaluation.pace import Pace
from sentinel.flow.model import HOUR_S, Batch, Rows, TickKind
from sentinel.runtime.known.feed_paces import FeedPaces
from sentinel.runtime.record.replay import on_time


def file(number: int, at: int) -> Batch:
    """A file with one visit, complete until its stamp."""
    rows = Rows("visits", ("cow", "start", "outcome"), ((f"{number % 5}", at - 600, "milked"),), (2,))
    return Batch("milkings", f"m_{number}.csv", (rows,), complete_until=at)


def quiet(life: Life) -> list[list[str]]:
    """The alerts on quiet feeds."""
    return [row for row in life.alerts if row[0] == "feed-quiet"]


@settings(deadline=None, max_examples=6)
@given(st.lists(st.integers(HOUR_S, 9 * HOUR_S), min_size=6, max_size=14), st.integers(0, 11))
@example([6638, 12287, 12287, 12990, 12990, 29210], 0)  # its pace is learned with the last file alone
def test_live_replay_and_a_restart_learn_the_same(waits: list[int], restart: int) -> None:
    """To the second: the alerts are those of a replay, and those of history in bulk as every file came at its stamp."""
    setup = setup_of(FEED_QUIET, (FEED,))
    life, at = Life(setup, begin=None), DAY_0
    life.at(at, file(0, at), kind=TickKind.START)
    for number, wait in enumerate(waits, 1):
        at += wait
        if number == restart:
            life.at(at - 1)
            life.restart()
        life.at(at, file(number, at), kind=TickKind.START if number == restart else TickKind.RUN)
    life.at(at + 40 * HOUR_S)
    kept = FeedPaces(life.store)

    assert life.told_again == life.alerts
    assert kept.at(at) == kept.at(at) == FeedPaces(life.store).at(at)
    bulk = [one for one in on_time(life.store, setup, at + 40 * HOUR_S) if one.rule == "feed-quiet"]
    live = quiet(life)
    told = sorted((_seconds(row[2]), row[3] == "-") for row in live)
    assert [(one.raised_at - DAY_0, one.over_at is None) for one in bulk] == told


def _seconds(text: str) -> int:
    from text_tables import moment

    return moment(text) - DAY_0


@pytest.mark.parametrize("said", ["every: 2 h\ntables:", "tables:"])
def test_a_two_hourly_feed_is_told_when_it_stops_and_not_before(said: str) -> None:
    """Said or learned: three hours after its last stamp, and a minute."""
    life = Life(setup_of(FEED_QUIET, (FEED.replace("tables:", said),)), begin=None)
    stamps = [DAY_0 + n * 2 * HOUR_S for n in range(45)]
    begin = stamps[15] + 600
    life.at(begin, *(file(n, at) for n, at in enumerate(stamps[:16])), kind=TickKind.START)
    for n, at in enumerate(stamps[16:], 16):
        life.at(at + 600, file(n, at))
    before = quiet(life)
    life.at(stamps[-1] + 12 * HOUR_S)
    [alert] = quiet(life)

    assert before == []
    late = 0 if said.startswith("every") else 600  # what a file takes to come is learned with it
    assert _seconds(alert[2]) == stamps[-1] - DAY_0 + 3 * HOUR_S + late * 3 // 2 + 1


def test_what_rests_on_a_feed_presses_within_its_own_pace() -> None:
    """Old news is what is older than the feed's quiet bound, and that follows its pace."""
    life = Life(setup_of(FEED_QUIET, (FEED.replace("tables:", "every: 6 h\ntables:"),)))
    life.at("01:00", file(0, DAY_0 + HOUR_S))
    assert life.engine.tables is not None
    [facts] = life.engine.tables.farm.feeds

    assert (facts.every_s, facts.quiet_after_s, facts.learns) == (6 * HOUR_S, 8 * HOUR_S, False)


def test_a_feed_that_hardly_came_has_no_pace() -> None:
    """It goes by what its kind does."""
    life = Life(setup_of(FEED_QUIET, (FEED,)))
    life.at("01:00", file(0, DAY_0 + HOUR_S))
    one = FeedPaces(life.store).at(DAY_0 + 2 * HOUR_S)
    for number in range(1, 13):
        life.at(DAY_0 + (1 + 2 * number) * HOUR_S, file(number, DAY_0 + (1 + 2 * number) * HOUR_S))

    assert one == {}
    assert FeedPaces(life.store).at(DAY_0 + 25 * HOUR_S) == {"milkings": Pace(2 * HOUR_S, 3 * HOUR_S)}


LAB = """\
feed: lab
files: "lab_*.csv"
every: 2 d
tables:
  cow_tests: {cow: Cow, at: Day, cells_k_ml: Cells}
"""


def results(number: int, sampled: int) -> Batch:
    """A laboratory's file: what was sampled at a moment."""
    rows = Rows("cow_tests", ("cow", "at", "cells_k_ml"), tuple((f"{n}", sampled, 120.0) for n in range(3)), (2, 3, 4))
    return Batch("lab", f"lab_{number}.csv", (rows,))


@settings(deadline=None, max_examples=6)
@given(st.lists(st.integers(60, 100), min_size=6, max_size=8), st.integers(0, 5), st.integers(0, 3))
def test_results_that_come_days_later_are_no_quiet_feed_until_they_stop(
    lags: list[int], restart: int, backlog: int
) -> None:
    """Sampled every two days, told 60 to 100 h later: a live feed of it is quiet only when it has stopped, and a replay
    says the same. The first came as late as any, as how much lags differ is learned from those that came."""
    setup = setup_of(FEED_QUIET, (LAB,))
    life, day = Life(setup, begin=None), 48 * HOUR_S
    steady = [100, *lags[1:]]
    sampled = [DAY_0 + n * day for n in range(backlog + 1 + len(steady))]
    begin = sampled[backlog] + 100 * HOUR_S
    life.at(begin, *(results(n, at) for n, at in enumerate(sampled[: backlog + 1])), kind=TickKind.START)
    at = begin
    for number, lag in enumerate(steady):
        at = max(at + 1, sampled[backlog + 1 + number] + lag * HOUR_S)
        if number == restart:
            life.restart()
        life.at(at, results(backlog + 1 + number, sampled[backlog + 1 + number]),
                kind=TickKind.START if number == restart else TickKind.RUN)  # fmt: skip
    before = quiet(life)
    life.at(at + 20 * day)

    assert before == []
    [alert] = quiet(life)
    assert life.told_again == life.alerts
    [in_bulk] = [one for one in on_time(life.store, setup, at + 20 * day) if one.rule == "feed-quiet"]
    assert in_bulk.raised_at - DAY_0 == _seconds(alert[2])
