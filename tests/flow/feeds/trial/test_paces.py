"""A map that says another pace than its files come at is asked about, with its line and what would be right."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.trial.paces import paces
from sentinel.flow.feeds.trial.patterns import RECENT, Matched
from sentinel.flow.feeds.trial.tried import MapFile, draft_map

MAP = """\
feed: visits
files: "*.csv"
{pace}
tables:
  visits: {{cow: Cow, start: Start}}
"""
BEGIN = 1_774_677_600


def the_map(pace: str) -> MapFile:
    """The map, which says that."""
    found, problems = draft_map(MAP.format(pace=pace), "feeds/visits.yaml")
    assert problems == []
    assert found is not None
    return found


def asked(pace: str, *files: tuple[str, float]) -> list[str]:
    """What is asked of the map where files of these names were written so many hours after the first."""
    one, found = the_map(pace), Matched()
    for name, hours in files:
        found.add([one], name, (BEGIN + round(3600 * hours)) * 1_000_000_000)
    return [str(problem) for problem in paces([one], found)]


def written_every(hours: float, number: int = 12) -> list[tuple[str, float]]:
    """Files without a stamp in their names."""
    return [(f"export {chr(97 + n % 26)}{chr(97 + n // 26)}.csv", n * hours) for n in range(number)]


def named_every(hours: int, number: int = 12) -> list[tuple[str, float]]:
    """Files with a stamp in their names, copied all at once."""
    return [(f"v_2026050{1 + n * hours // 24}_{n * hours % 24:02}00.csv", 0.0) for n in range(number)]


def test_files_that_come_half_as_often_are_asked_about_at_the_line_that_says_it() -> None:
    """By the stamps in their names, or else by when they were written."""
    why = "Else the feed counts as quiet although they come in time"

    assert asked("every: 1 h", *named_every(2)) == [
        "feeds/visits.yaml:3:1: every: its newest 12 files come every 2 h by the stamps in their names, "
        f"not as often as it says: every: 2 h? {why}"
    ]
    assert asked("pace: hourly", *written_every(2)) == [
        "feeds/visits.yaml:3:1: pace: its newest 12 files come every 2 h by when they were written, "
        f"not as often as it says: every: 2 h? {why}"
    ]
    assert asked("pace: daily", *written_every(168)) == [
        "feeds/visits.yaml:3:1: pace: its newest 12 files come every 7 d by when they were written, "
        f"not as often as it says: pace: weekly? {why}"
    ]


def test_files_that_come_far_oftener_are_asked_about_too() -> None:
    """A stop of them would be told by what the map says."""
    assert asked("pace: daily", *named_every(1)) == [
        "feeds/visits.yaml:3:1: pace: its newest 12 files come every 1 h by the stamps in their names, "
        "oftener than it says: pace: hourly? Else a stop would be told late"
    ]


@pytest.mark.parametrize("pace", ["every: 2 h", "every: 100 min", "every: 4 h", "decimal: '.'"])
def test_a_pace_that_is_nearly_right_or_learned_is_not_asked_about(pace: str) -> None:
    """Nor where a map says none, as it is learned then."""
    assert asked(pace, *named_every(2)) == []
    assert asked(pace, *written_every(2)) == []


def test_files_without_a_pace_say_nothing() -> None:
    """Few of them, copied ones without a stamp, such as come at any time, or several at a time."""
    several = [(f"box{box} {chr(97 + n)}.csv", n + 0.02 * box) for n in range(10) for box in (1, 2, 3)]
    any_time = [(f"{chr(97 + n)}.csv", float(2**n)) for n in range(12)]

    assert asked("every: 1 h", *written_every(2, number=5)) == []
    assert asked("every: 1 h", *[(name, 0.0) for name, _ in written_every(2)]) == []
    assert asked("every: 1 h", *any_time) == []
    assert asked("every: 1 h", *several) == []


def test_the_newest_files_count() -> None:
    """An export that was set up anew comes at its new pace, whatever the years before."""
    old = [(f"old {n}.csv", n * 24.0) for n in range(3 * RECENT)]
    new = [(f"new {n}.csv", 3 * RECENT * 24.0 + n) for n in range(RECENT + 2)]

    assert asked("every: 1 h", *old, *new) == []
    assert len(asked("every: 1 h", *old)) == 1
