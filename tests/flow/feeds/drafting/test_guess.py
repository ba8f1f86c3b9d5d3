"""Which column of a sample is which field: by its title, weighed by what its cells look like."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.guess import LEAST_PERCENT, Source, guess, our_word, sources, unit_of
from sentinel.flow.feeds.drafting.sniff import Sample
from sentinel.flow.tables import EXPORTED, QUARTER_ROWS, TANK, VISITS


def sample(**columns: list[str]) -> Sample:
    """A sample with these columns; `_` in a title stands for a space."""
    titles = tuple(title.replace("_", " ") for title in columns)
    return Sample("delimited", titles, tuple(tuple(cells) for cells in columns.values()))


def test_titles_of_four_quarters_are_one_source() -> None:
    """Wherever the quarter's name stands in them; three of four are single columns."""
    four = sources(sample(Cow=["7"], LF_kg=["1"], RF_kg=["2"], LR_kg=["3"], RR_kg=["4"]))
    three = sources(sample(LF_kg=["1"], RF_kg=["2"], LR_kg=["3"]))
    inside = sources(sample(condVL=["1"], condVR=["2"], condHL=["3"], condHR=["4"]))

    assert [(one.title, one.cells) for one in four] == [("Cow", ("7",)), ("{quarter} kg", ("1", "2", "3", "4"))]
    assert [one.title for one in three] == ["LF kg", "RF kg", "LR kg"]
    assert [(one.title, one.family) for one in inside] == [("cond{quarter}", ("VL", "VR", "HL", "HR"))]


def test_a_title_is_compared_without_unit_and_marks() -> None:
    """As export titles put them in."""
    assert [Source(title, ()).plain for title in ("Milk (kg)", "milkYield_kg", "Cond {quarter} [25 °C]")] == [
        "milk", "milk yield kg", "cond",
    ]  # fmt: skip


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


@pytest.mark.parametrize(
    ("column", "title", "cells", "unit"),
    [
        (VISITS.column("duration_s"), "Duration", ["5:32", "7:10"], "min:sec"),
        (VISITS.column("duration_s"), "Duration", ["1:05:32"], "h:min:sec"),
        (VISITS.column("duration_s"), "Duration min", ["5.5"], "min"),
        (VISITS.column("duration_s"), "Duration s", ["332"], ""),
        (VISITS.column("milk_kg"), "Milk lb", ["22"], "lb"),
        (VISITS.column("milk_kg"), "Milk litres", ["12"], "l"),
        (QUARTER_ROWS.column("conductivity_mS_cm"), "Cond", ["5900", "6100"], "uS/cm"),
        (QUARTER_ROWS.column("conductivity_mS_cm"), "Cond", ["590", "610"], "mS/m"),
        (QUARTER_ROWS.column("conductivity_mS_cm"), "Cond", ["5.9", "6.1"], ""),
        (TANK.column("temperature_C"), "Temp", ["39", "40"], "degF"),
        (TANK.column("cells_k_ml"), "Cells", ["210000", "180000"], "cells/ml"),
    ],
)
def test_a_unit_is_told_by_the_title_or_by_the_size_of_the_figures(
    column: object, title: str, cells: list[str], unit: str
) -> None:
    """Milk of 40 degrees in a tank is no centigrade, and no quarter conducts 590 mS/cm (common practice, no source)."""
    assert unit_of(column, Source(title, tuple(cells)), sample())[0] == unit  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "theirs", "ours"),
    [
        ("outcome", "Cut short", "incomplete"),
        ("outcome", "abgewiesen", "refused"),
        ("status", "dry", "dry"),
        ("quarter", "hinten links", "LR"),
        ("event", "new filtre", "filter_changed"),
        ("outcome", "qqq", ""),
        ("cow", "milked", ""),
    ],
)
def test_a_cells_word_is_the_nearest_that_is_known(name: str, theirs: str, ours: str) -> None:
    """In any of the languages, with a letter wrong; what is like none of them is none."""
    found, percent = our_word(name, theirs)

    assert found == ours
    assert (percent >= 75) == bool(ours)
