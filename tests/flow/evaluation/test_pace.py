"""How often a feed comes is said or learned; a silence within that is none."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.evaluation.pace import FEWEST, LATELY_S, Arrivals, Pace, pace_said, paces_at
from sentinel.flow.model import DAY_S, HOUR_S


@pytest.mark.parametrize(
    ("hours", "quiet_h", "word"),
    [
        (0.5, 0.75, "hourly"),
        (1, 1.5, "hourly"),
        (2, 3, "hourly"),
        (6, 8, "hourly"),
        (24, 26, "daily"),
        (7 * 24, 7 * 24 + 2, "weekly"),
        (30 * 24, 30 * 24 + 2, "monthly"),
    ],
)
def test_what_is_said_may_be_half_of_it_late_and_two_hours_at_most(hours: float, quiet_h: float, word: str) -> None:
    """An hour and a day give what the rule that ships has for hourly and daily feeds."""
    pace = pace_said(round(hours * HOUR_S))

    assert (pace.quiet_least_s, pace.word) == (round(quiet_h * HOUR_S), word)


def learned(known: list[int], delay_s: int = 0) -> Pace | None:
    """The pace of a feed that is known until these moments one after the other, each told so much later."""
    arrivals = Arrivals()
    for moment in known:
        arrivals.add(moment + delay_s, moment)
    return arrivals.pace()


def every(hours: float, number: int, begin: int = 0) -> list[int]:
    """So many moments so far apart."""
    return [begin + round(n * hours * HOUR_S) for n in range(number)]


@pytest.mark.parametrize("hours", [1, 2, 6, 24])
def test_a_steady_feed_is_learned_as_if_it_had_been_said(hours: int) -> None:
    """Once five waits, and a day and a night, are over."""
    enough = max(FEWEST, 24 // hours) + 1
    assert learned(every(hours, enough - 1)) is None
    assert learned(every(hours, enough)) == pace_said(hours * HOUR_S)
    assert learned(every(hours, 100)) == pace_said(hours * HOUR_S)


def test_what_a_file_takes_to_come_is_part_of_the_wait() -> None:
    """Its news is never younger than that; a file of a backlog, read months later, says nothing of it."""
    late, backlog = learned(every(2, 50), HOUR_S), learned(every(2, 50), 90 * DAY_S)

    assert late == pace_said(3 * HOUR_S)
    assert backlog == pace_said(2 * HOUR_S)


def test_an_outage_is_no_pace() -> None:
    """One wait in twenty, and at least one, is left out."""
    outage = [*every(1, 4), *every(1, 3, 30 * HOUR_S)]
    many = [*every(1, 30), *every(1, 30, 60 * HOUR_S), *every(1, 30, 130 * HOUR_S)]

    assert learned(outage) == learned(many) == pace_said(HOUR_S)


def test_a_feed_that_rests_at_night_may_rest() -> None:
    """Eight files a day two hours apart, and then eight hours of nothing, for a week."""
    days = [day * DAY_S + moment for day in range(7) for moment in every(2, 9)]
    pace = learned(days)

    assert pace is not None and pace.every_s == 2 * HOUR_S
    assert pace.quiet_least_s == (8 + 6) * HOUR_S


def test_what_was_long_ago_counts_no_more() -> None:
    """A feed that came daily until spring and comes hourly now."""
    known = every(24, 60)
    known += every(1, LATELY_S // HOUR_S + 5, known[-1])

    assert learned(known) == pace_said(HOUR_S)


def test_news_that_is_no_news_tells_nothing() -> None:
    """A file sent again, or older than those before."""
    arrivals, again = Arrivals(), Arrivals()
    for moment in every(2, 20):
        arrivals.add(moment, moment)
        again.add(moment, moment)
        again.add(moment + 60, moment)
        again.add(moment + 90, moment - DAY_S)

    assert arrivals.pace() == again.pace()


@given(st.lists(st.integers(60, 3 * DAY_S), min_size=1, max_size=80))
def test_what_was_learned_at_a_moment_rests_on_what_had_come_by_then(waits: list[int]) -> None:
    """And no feed is quiet within its middle wait."""
    moments = np.cumsum(waits).tolist()
    paces = paces_at(moments)

    for number, pace in enumerate(paces, 1):
        assert pace == learned(moments[:number])
        if pace is not None:
            assert pace.quiet_least_s > pace.every_s


@pytest.mark.parametrize(
    ("came", "lag_d"),
    [
        ([], 0),
        ([(4, 0)], 4),  # first read four days after it was sampled: nothing else is known yet
        ([(4, 0), (4, 2), (4, 3)], 1),  # what waited to be read says nothing but by its newest
        ([(4, 0), (7, 2)], 5),
        ([(4, 0), (7, 2), (8, 4), (11, 6), (15, 8)], 7),
        ([(4, 0), (7, 2), (8, 4), (11, 6), (15, 8), (14.5, 10)], 7),
        ([(4, 0), (7, 2), (8, 4), (11, 6), (15, 8), (14, 10), (16, 12)], 7),
        ([(4, 0), (12, 2), *((2 * n + 3, 2 * n) for n in range(7, 17))], 3),  # the last nine count
        ([(300, 0)], 300),
    ],
)
def test_how_old_it_is_what_files_bring_is_learned_from_those_that_come_by_themselves(
    came: list[tuple[float, float]], lag_d: float
) -> None:
    """Each came on a day with what was sampled on another; the longest counts, as laboratories rest at weekends."""
    arrivals = Arrivals()
    for at, known in came:
        arrivals.add(round(at * DAY_S), round(known * DAY_S))

    assert arrivals.lag_s == lag_d * DAY_S


@given(
    st.lists(st.tuples(st.integers(1, 5), st.integers(0, 40)), min_size=1, max_size=30),
    st.integers(0, 30),
)
def test_what_is_learned_of_lags_is_never_more_than_there_were(files: list[tuple[int, int]], first_h: int) -> None:
    """Whatever the days between samples, and the hours that results take."""
    arrivals, known, at = Arrivals(), 0, first_h * HOUR_S
    arrivals.add(at, known)
    lag = first_h * HOUR_S
    for days, hours in files:
        known += days * DAY_S
        at = max(at + 1, known + hours * HOUR_S)
        lag = max(lag, at - known)
        arrivals.add(at, known)

        assert 0 <= arrivals.lag_s <= lag
