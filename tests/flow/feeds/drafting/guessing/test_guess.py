"""Which column of a sample is which field: by its title, weighed by what its cells look like."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.guessing.field_guess import SURE_PERCENT
from sentinel.flow.feeds.drafting.guessing.guess import LEAST_PERCENT, NO_COLUMN, certainty, guess
from sentinel.flow.feeds.drafting.sample.sniff import Sample
from sentinel.flow.tables import EXPORTED


def sample(**columns: list[str]) -> Sample:
    """A sample with these columns; `_` in a title stands for a space."""
    titles = tuple(title.replace("_", " ") for title in columns)
    return Sample("delimited", titles, tuple(tuple(cells) for cells in columns.values()))


def test_fields_are_found_and_what_is_left_is_named() -> None:
    """A day and a time of day beside it are one moment."""
    found = guess(
        sample(Cow=["217", "9"], Date=["13.04.2026", "14.04.2026"], Qqq=["06:30", "06:40"], Zzz=["a", "b"]), EXPORTED
    )
    visits = found.tables["visits"]

    assert {name: one.source.title for name, one in visits.items()} == {"cow": "Cow", "start": "Date"}
    assert visits["start"].clock is not None
    assert visits["start"].clock.title == "Qqq"
    assert found.left == ("Zzz",)
    assert all(LEAST_PERCENT <= one.percent <= 100 for one in visits.values())


def test_what_a_column_cannot_be_it_is_not_whatever_its_title() -> None:
    """A column called Start that holds words is no time, and a sample of nothing known fills no table."""
    found = guess(sample(Cow=["217", "9"], Start=["red", "blue"], Milk=["12.4", "9.5"]), EXPORTED)

    assert all("start" not in fields for fields in found.tables.values())
    assert guess(sample(Qqq=["a"], Www=["b"]), EXPORTED).tables == {}


def test_what_a_person_said_goes_before_all_else() -> None:
    """Another column than the likeliest, with its own unit; or none, and the next field may have it."""
    milk, kilos = [f"{9 + n % 5}.{n}" for n in range(9)], [f"{20 + n}.{n}" for n in range(9)]
    one = sample(
        Cow=[str(n) for n in range(9)], Start=[f"2026-05-04 06:3{n}" for n in range(9)], Milk_kg=milk, Gift_lb=kilos
    )
    likeliest = guess(one, EXPORTED).tables["visits"]["milk_kg"]
    other = guess(one, EXPORTED, "visits", {"visits.milk_kg": "Gift lb"}).tables["visits"]["milk_kg"]
    none = guess(one, EXPORTED, "visits", {"visits.milk_kg": NO_COLUMN}).tables["visits"]

    assert (likeliest.source.title, likeliest.unit) == ("Milk kg", "")
    assert (other.source.title, other.unit) == ("Gift lb", "lb")
    assert "milk_kg" not in none


def test_a_guess_that_titles_and_values_agree_on_is_sure_and_never_wholly() -> None:
    """A column that could be two fields is asked, with what comes next."""
    assert certainty(9, 6) == 99
    assert certainty(0.2, 0) < SURE_PERCENT
    assert certainty(3, 0) < certainty(3, 4)
