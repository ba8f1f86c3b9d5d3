"""Two maps that make the same rows differently are told at the second one's field."""

from __future__ import annotations

from collections.abc import Callable

from flow.feeds.trial.tried_maps import BEGIN, export, line, map_text, tried_on, visits

from sentinel.flow.feeds.trial.overlaps import overlaps
from sentinel.flow.feeds.trial.tried import Tried
from sentinel.flow.model import Export


def feed(name: str, of: Callable[[int], str] = line, **fields: str) -> Tried:
    """A feed of that name that tells the twenty visits."""
    one = export(*visits(of), name=f"{name}_1.csv")
    return tried_on(map_text(name, **fields), one, name=f"feeds/{name}.yaml")


def test_two_feeds_that_say_the_same_are_asked_nothing() -> None:
    """Also where one of them rounds."""
    rounded = feed(
        "b", lambda n: line(n, Milk=f"{8 + n % 7 + n % 10 / 10:.0f}", Stay=str(60 * round((300 + 20 * (n % 9)) / 60)))
    )

    assert [*overlaps([feed("a"), feed("b")])] == []
    assert [*overlaps([feed("a"), rounded])] == []


def test_a_field_in_another_unit_is_told_with_both_places() -> None:
    """Pounds in one, kilograms in the other."""
    [told] = overlaps([feed("a"), feed("b", milk="{column: Milk, unit: lb}")])

    assert str(told) == (
        "feeds/b.yaml:9:5: milk_kg: 20 of 20 rows of visits that a tells as well differ (3.629 here, 8 by "
        "feeds/a.yaml:9:5): is it the unit, the words or the column in one?"
    )


def test_words_that_mean_other_things_are_told() -> None:
    """Failed here, milked there."""
    [told] = overlaps([feed("a"), feed("b", lambda n: line(n, Ended="none"))])

    assert told.message.startswith(
        "outcome: 20 of 20 rows of visits that a tells as well differ (failed here, milked by"
    )


def test_rows_an_hour_apart_are_a_zone() -> None:
    """No key is the same, and each milking would count twice."""
    later = feed("b", lambda n: line(n).replace("2026-03-28 0", "2026-03-28 1"))

    [told] = overlaps([feed("a"), later])

    assert str(told) == (
        "feeds/b.yaml:7:5: start: 20 rows are 600 min later than a row of the same cow in a, so that each would "
        "count as two: is the zone right in both maps?"
    )


def test_rows_without_their_seconds_are_told() -> None:
    """Two exports of the same visits, one of which cuts the seconds off."""
    cut = feed("b", lambda n: line(n, Start=line(n).split(",")[1][:-2] + "00"))

    [told] = overlaps([feed("a"), cut])

    assert "rows are within a minute of a row of the same cow in a" in told.message
    assert told.message.endswith("does one of the two exports leave out the seconds?")


def test_cows_named_with_leading_zeros_are_told() -> None:
    """0101 and 101 are two cows here."""
    zeros = feed("b", lambda n: f"0{line(n)}")

    [told] = overlaps([feed("a"), zeros])

    assert told.source.line == 6
    assert "are those of a but for leading zeros" in told.message


def test_few_shared_rows_say_nothing() -> None:
    """Four rows are chance."""
    few = tried_on(
        map_text("b", milk="{column: Milk, unit: lb}"), export(*visits(n=4), name="b_1.csv"), name="feeds/b.yaml"
    )

    assert [*overlaps([feed("a"), few])] == []


def test_a_reading_every_hour_and_a_result_at_a_time_of_day_are_no_zone() -> None:
    """A tank's two exports: each result is half an hour after a reading, an hour and a half after the one before ..."""

    def tank(name: str, moments: list[int]) -> Tried:
        text = f'feed: {name}\nfiles: "{name}_*.csv"\ntimes: epoch_s\ntables:\n  tank: {{tank: Tank, at: At}}\n'
        rows = "".join(f"A,{moment}\n" for moment in moments)
        one = Export(f"{name}_1.csv", f"Tank,At\n{rows}".encode(), BEGIN + 40 * 86_400)
        return tried_on(text, one, name=f"feeds/{name}.yaml")

    readings = tank("readings", [BEGIN + 3600 * n for n in range(400)])
    results = tank("results", [BEGIN + 1800 + 2 * 86_400 * n for n in range(9)])

    assert [*overlaps([readings, results])] == []
