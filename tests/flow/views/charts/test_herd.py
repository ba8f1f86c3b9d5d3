"""The herd's charts, and what they say in words."""

from __future__ import annotations

from flow.herd.herd_rows import herd, milkings
from text_tables import moment
from view_farm import rows

from sentinel.flow.herd.cells import CellsOver, HerdCells
from sentinel.flow.language import english
from sentinel.flow.measures.cells.periods import PeriodMean
from sentinel.flow.measures.milking.herd_days import herd_days
from sentinel.flow.model import DAY_S
from sentinel.flow.views.charts.herd import cells_chart, milkings_chart, month_words

WORDS = english("UTC")
JAN, FEB, MAR, APR = (moment(f"{n}d00:00") for n in (212, 243, 271, 302))


def month(begins: int, ends: int, tank: float | None, cows: float | None, running: bool = False) -> CellsOver:
    """A month's cells."""
    return CellsOver(PeriodMean(begins, ends, tank, 2), PeriodMean(begins, ends, cows, 90), running)


MONTHS = (month(JAN, FEB, 312.4, 160), month(FEB, MAR, None, 140), month(MAR, APR, 204, 98, True))


def test_cells_are_drawn_month_by_month_with_the_limit_and_said_in_words() -> None:
    """A month without a test is left out; the last one is said to be running."""
    picture = cells_chart(HerdCells((), MONTHS, (), None, 400.0), WORDS)

    assert picture.sentences == (
        "The tank: from 312 (Jan 2025) to 204 (Mar 2025); lowest 204 (Mar 2025), highest 312 (Jan 2025).",
        "The cows: from 160 (Jan 2025) to 98 (Mar 2025); lowest 98 (Mar 2025), highest 160 (Jan 2025).",
        "The limit of the tank is 400.",
        "The last month is not complete yet.",
    )
    for said in ("limit 400", "the tank&#x27;s tests", "the cows&#x27; tests", "Jan 2025"):
        assert said in picture.svg
    assert (month_words(JAN, WORDS), 'role="img"' in picture.svg) == ("Jan 2025", True)


def test_with_one_kind_of_test_or_one_month_or_none_it_says_what_there_is() -> None:
    """Without a limit none is drawn; without a count there is no chart."""
    tank = cells_chart(HerdCells((), (month(JAN, FEB, 312.4, None),), (), None, None), WORDS)
    none = cells_chart(HerdCells((), (), (), None, 400.0), WORDS)

    assert tank.sentences == ("The tank: 312 (Jan 2025).",)
    assert ("limit" in tank.svg, "cows" in tank.svg) == (False, False)
    assert none.sentences == ("No cell counts for these months.",)


def test_milkings_are_a_bar_a_day_and_a_day_known_in_part_stands_apart() -> None:
    """In words only whole days count; where there is none, it says so."""
    edges = [(moment("00:00") + n * DAY_S, moment("00:00") + (n + 1) * DAY_S) for n in range(3)]
    tables = herd(milkings(0, 1), milkings(1, 2, hours=(5, 17)), until=moment("2d12:00"))
    days = herd_days(tables, edges, moment("2d12:00"))
    whole = herd_days(herd(milkings(-1, 4), until=moment("3d00:00")), edges, moment("3d00:00"))

    assert "known in part" in milkings_chart(days, WORDS, "UTC").svg
    assert "known in part" not in milkings_chart(whole, WORDS, "UTC").svg
    assert milkings_chart(days, WORDS, "UTC").sentences == (
        "2 milkings per cow and day on average.", "Fewest 2 (Tue 4 Jun), most 2 (Tue 4 Jun).",
    )  # fmt: skip
    assert milkings_chart(days[2:], WORDS, "UTC").sentences == ("No full day is known yet.",)
    assert milkings_chart(herd_days(rows(), edges, 0), WORDS, "UTC").sentences == ("No milking is known.",)
