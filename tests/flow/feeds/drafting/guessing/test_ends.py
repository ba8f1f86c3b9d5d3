"""Which column says when visits ended."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from sentinel.flow.feeds.drafting.guessing.ends import by_its_end, ends
from sentinel.flow.feeds.drafting.guessing.field_guess import Guess
from sentinel.flow.feeds.drafting.sample.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample


def profiles(columns: Mapping[str, list[int]], *, clocks: tuple[str, ...] = ()) -> list[Profile]:
    """Columns of moments of one day, in min after 06:00; `clocks` are times of day only."""
    made = []
    for title, minutes in columns.items():
        day = "" if title in clocks else "2026-05-13 "
        cells = tuple(f"{day}{6 + m // 60:02}:{m % 60:02}:00" for m in minutes)
        made.append(profiled(Source(title, cells), Sample("delimited")))
    return made


START = [0, 11, 19, 32, 40, 55, 71, 80]
STAYS = [6, 5, 9, 4, 8, 7, 6, 5]


def later(stays: list[int]) -> list[int]:
    """So long after each start."""
    return [begin + stay for begin, stay in zip(START, stays, strict=True)]


@pytest.mark.parametrize(
    ("columns", "found"),
    [
        ({"Out": later(STAYS)}, ["Out"]),
        ({"Cups on": later([1] * 8), "Left": later(STAYS)}, ["Left", "Cups on"]),
        ({"Seen": later([m + 9 for m in STAYS]), "End": later(STAYS)}, ["End", "Seen"]),
        ({"Received": later(STAYS)}, []),
        ({"Next": later([200] * 8)}, []),
        ({"Before": [m - 5 if m else 0 for m in START]}, []),
    ],
)
@pytest.mark.parametrize("of_day", [True, False])
def test_the_end_follows_the_start_by_minutes(columns: dict[str, list[int]], found: list[str], of_day: bool) -> None:
    """The one that says so first, else the latest; when a server had it is no end."""
    made = profiles({"In": START, **columns}, clocks=tuple(columns) if of_day else ())

    assert [one.title for one in ends(Guess("start", made[0].source, 99), made)] == found


def test_what_is_another_field_is_no_end() -> None:
    """And what says that it is the end is surer than what follows the start."""
    made = profiles({"In": START, "Out": later(STAYS), "X": later(STAYS)})
    start = Guess("start", made[0].source, 99)
    first, other = by_its_end(start, made, {"In"}), by_its_end(start, made, {"In", "Out"})

    assert first is not None and (first.source.title, first.asked, first.ends) == ("Out", False, True)
    assert other is not None and (other.source.title, other.asked) == ("X", True)
    assert by_its_end(start, made, {"In", "Out", "X"}) is None
