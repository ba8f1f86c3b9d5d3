"""While an alert stands, what is usual is what was usual when it began."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from text_tables import moment

from sentinel.flow.evaluation.held_readings import FROZEN_FOR_S, Began, Beginnings
from sentinel.flow.evaluation.spans import Spans, spans
from sentinel.flow.evaluation.verdicts import judge
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Readings
from sentinel.flow.model import HOUR_S, State
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables

STEP_S = 8 * HOUR_S
RULE = Rule(name="r", measure="rise", per="quarter", unit="%", raise_over=20.0, clear_under=10.0, now_over=60.0)

Milkings = Sequence[tuple[float, float]]
"""A quarter's readings, one every eight hours: what was read, and what was usual for it by then."""


def as_usual_was(rows: pd.DataFrame, usual: np.ndarray) -> pd.DataFrame:
    """The rises over what was usual once."""
    return rows.assign(value=100.0 * (rows["read"] / usual - 1.0), mean=usual)


RISE = Measure(
    "rise", "%", ("quarter",), "", "", "", lambda tables, per, options: Readings(tables.tank), NO_CHART,
    needs=("visits",), facts=(FactColumn("read", "read"), FactColumn("mean", "mean")), usual="mean",
    as_usual_was=as_usual_was,
)  # fmt: skip


def tables(milkings: Milkings, subject: str = "quarter:1/LF", since: int = 0) -> Tables:
    """The readings from a moment on."""
    frame = pd.DataFrame(milkings, columns=["read", "mean"])
    frame.insert(0, "subject", subject)
    frame.insert(1, "at", moment("00:00") + STEP_S * np.arange(len(frame)))
    frame.insert(2, "value", 100.0 * (frame["read"] / frame["mean"] - 1.0))
    frame.insert(3, "why", "")
    return Tables(tank=frame[frame["at"] >= since].reset_index(drop=True))


def steps(found: Spans) -> list[tuple[int, int | None]]:
    """The spans by the numbers of the milkings at which they begin and end."""
    begin, last = moment("00:00"), moment("00:00") + 1000 * STEP_S
    return [
        (int((start - begin) // STEP_S), None if end > last else int((end - begin) // STEP_S))
        for start, end in zip(found.held["start"], found.held["end"], strict=True)
    ]


def found(milkings: Milkings, rule: Rule = RULE, measure: Measure = RISE) -> list[tuple[int, int | None]]:
    """Where the rule holds."""
    return steps(spans(rule, measure, tables(milkings)))


DRIFTS = [(4.5, 4.5), (6.9, 4.5), (6.9, 5.0), (6.9, 5.58), (6.9, 6.5), (6.9, 6.9), (4.6, 6.9)]


def test_a_quarter_that_has_become_its_own_usual_has_not_recovered() -> None:
    """Its usual rises from 4.5 to 6.9 with it; only the reading that is back at 4.6 ends it."""
    assert found(DRIFTS) == [(1, 6)]
    assert found(DRIFTS, measure=replace(RISE, as_usual_was=None)) == [(1, 4)]


def test_the_alert_says_the_usual_of_its_raise() -> None:
    """With the rise over it, also after what would be usual now has moved on."""
    upto = tables(DRIFTS[:4])
    at = moment("00:00") + 4 * STEP_S
    [verdict] = judge(RULE, RISE, upto, {"visits": at}, at).verdicts

    assert (verdict.state, verdict.facts["usual"], verdict.facts["mean"]) == (State.HOLDS, 4.5, 4.5)
    assert verdict.value == verdict.facts["value"] == pytest.approx(100 * (6.9 / 4.5 - 1))


def test_after_three_weeks_what_is_usual_now_counts() -> None:
    """A quarter that stays high for good is let go of."""
    stays = [(4.5, 4.5), *[(6.0, 5.9)] * 80]
    stays[1] = (6.0, 4.5)
    [(begin, end)] = found(stays)

    assert begin == 1
    assert end == 1 + FROZEN_FOR_S // STEP_S + 1


def test_it_presses_by_what_was_usual() -> None:
    """A further rise from 6.9 to 7.5 is 67 % over the old usual, though only 15 % over the one that has risen."""
    worse = [(4.5, 4.5), (6.0, 4.5), (6.9, 6.2), (7.5, 6.5)]
    assert found(worse) == [(1, None)]
    assert (spans(RULE, RISE, tables(worse)).held["now_from"] == moment("00:00") + 3 * STEP_S).all()


def test_what_is_not_usual_yet_changes_nothing() -> None:
    """A reading before anything was usual has no value, and none of what follows is compared with it."""
    assert found([(6.0, float("nan")), (6.0, 4.5), (4.5, 5.0)]) == [(1, 2)]


LEVELS = st.lists(st.tuples(st.integers(40, 90), st.integers(40, 70)), min_size=1, max_size=25)


@settings(deadline=None, max_examples=60)
@given(LEVELS, st.integers(1, 5))
@example([(51, 55), *[(40, 40)] * 4, (86, 48), (83, 43), (50, 61), (56, 40), (40, 62)], 4)  # one right after another
def test_tick_by_tick_it_is_the_same_as_all_at_once(levels: list[tuple[int, int]], back: int) -> None:
    """Whoever sees only the last few readings, and how the standing alert began, decides the same."""
    milkings = [(read / 10, usual / 10) for read, usual in levels]
    everything = tables(milkings)
    standing: Beginnings = {}
    begun, held_at = None, 0
    for number in range(len(milkings)):
        at = moment("00:00") + number * STEP_S
        here = Tables(tank=everything.tank.iloc[: number + 1])
        whole = judge(RULE, RISE, here, {"visits": at}, at).verdicts[0]
        seen = Tables(tank=here.tank.iloc[max(0, number + 1 - back) :].reset_index(drop=True))
        part = judge(RULE, RISE, seen, {"visits": at}, at, standing).verdicts[0]

        assert (part.state, part.value, part.facts) == (whole.state, whole.value, whole.facts)
        if part.state is State.HOLDS:
            begun = Began(part.since or 0, part.facts["usual"])
            held_at = at
        standing = {} if begun is None else {part.subject: replace(begun, last=None if held_at == at else held_at)}


@settings(deadline=None, max_examples=60)
@given(LEVELS)
def test_against_plain_words(levels: list[tuple[int, int]]) -> None:
    """One reading after another, with what was usual when the stretch began, or is now if that is less."""
    milkings = [(read / 10, usual / 10) for read, usual in levels]
    expected: list[tuple[int, int | None]] = []
    begun: float | None = None
    for number, (read, usual) in enumerate(milkings):
        rise = 100 * (read / (usual if begun is None else min(begun, usual)) - 1)
        if begun is None and rise > 20:
            begun = usual
            expected.append((number, None))
        elif begun is not None and rise < 10:
            begun = None
            expected[-1] = (expected[-1][0], number)

    assert found(milkings) == expected
