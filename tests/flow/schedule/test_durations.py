"""How long chores take on this farm."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment, moment_text, table
from view_farm import rows

from sentinel.flow.model import DAY_S
from sentinel.flow.schedule.durations import ENOUGH, chore_times_s, takes_s
from sentinel.flow.tables import CHORES, ChoreFacts, Tables

NOW = moment("12:00")


def ticked(*rounds: str, days: int = ENOUGH) -> Tables:
    """The farm on which so many days were ticked as one was: `06:30:00 filter Marit` a line."""
    lines = ["chore  place  at  person"]
    for day in range(1, days + 1):
        for line in "\n".join(rounds).strip().splitlines():
            clock, chore, person = line.split()
            hours, minutes, seconds = map(int, clock.split(":"))
            at = moment("00:00") - day * DAY_S + hours * 3600 + minutes * 60 + seconds
            lines.append(f"{chore}  1  {moment_text(at)}  {person}")
    return replace(rows(), chores=table(CHORES.name, "\n".join(lines)))


def test_a_chore_takes_as_long_as_from_the_tap_before_to_its_own() -> None:
    """The first of a round is timed by nothing."""
    tables = ticked("06:30:00 filter Marit", "06:34:00 wash Marit", "06:44:00 arm Marit")

    assert chore_times_s(tables, NOW) == {"wash": 240, "arm": 600}


def test_what_was_ticked_together_shares_the_time() -> None:
    """One tap for all of a box, or several in a row: the walk and the work before it stand for them all."""
    at_box_2 = ["06:42:00 filter Marit", "06:42:05 wash Marit", "06:42:20 arm Marit"]
    tables = ticked("06:30:00 filter Marit", "06:30:01 wash Marit", *at_box_2)

    assert chore_times_s(tables, NOW) == pytest.approx({"filter": 719 / 3, "wash": 719 / 3, "arm": 719 / 3})


def test_breaks_and_other_people_time_nothing() -> None:
    """Nor does a round that was ticked in one go at its end."""
    apart = ticked("06:30:00 filter Marit", "07:01:00 wash Marit", "06:35:00 arm Tomas")
    at_the_end = ticked(*(f"07:00:{n * 3:02} {chore} Marit" for n, chore in enumerate(("filter", "wash", "arm"))))

    assert chore_times_s(apart, NOW) == {}
    assert chore_times_s(at_the_end, NOW) == {}


def test_too_little_and_what_is_to_come_say_nothing() -> None:
    """Five times are enough, and only those before the round that is shown and of four weeks count."""
    line = ("06:30:00 filter Marit", "06:34:00 wash Marit")

    assert chore_times_s(ticked(*line, days=ENOUGH - 1), NOW) == {}
    assert chore_times_s(ticked(*line), moment("00:00") - DAY_S) == {}
    assert chore_times_s(ticked(*line, days=ENOUGH), NOW + 28 * DAY_S) == {}
    assert chore_times_s(ticked(*line, days=40), NOW) == {"wash": 240}


def test_what_is_learned_comes_before_what_the_farm_says() -> None:
    """And without either nothing is said."""
    says = ChoreFacts("wash", "1", takes_s=600)

    assert takes_s(says, {"wash": 240.0}) == 240
    assert takes_s(says, {}) == 600
    assert takes_s(ChoreFacts("wash", "1"), {"arm": 3.0}) is None
