"""A cow's visits as pages show them, each with its four quarters."""

from __future__ import annotations

from text_tables import moment
from view_farm import VISITS, rows

from sentinel.flow.views.parts.timeline import records
from sentinel.flow.views.parts.visits import QuarterMilking, Visit, rows_of, visit_of


def shown(outcome: str = "milked") -> dict[int, Visit]:
    """The visits of cow 217 by their moment."""
    return {int(row["start"]): visit_of(row, outcome) for row in records(rows_of(rows(visits=VISITS).visits, "217"))}


def test_a_visit_has_its_figures_and_those_of_each_quarter() -> None:
    """A cup that came off is told only where the export says so of that quarter."""
    visit = shown()[moment("1d05:00")]

    assert (visit.box, visit.outcome, visit.milk_kg, visit.attach_s, visit.attempts) == ("1", "milked", 11.0, 70.0, 1.0)
    assert visit.duration_s is None
    assert visit.quarters[0] == QuarterMilking("LF", 6.2, 2.5, False)
    assert visit.quarters[1] == QuarterMilking("RF", 4.6, None, None)
    assert [one.quarter for one in visit.quarters] == ["LF", "RF", "LR", "RR"]


def test_a_visit_of_which_no_quarter_was_read_shows_none() -> None:
    """Rather than four empty ones."""
    assert shown("failed")[moment("16:00")].quarters == ()
    assert shown("failed")[moment("16:00")].outcome == "failed"


def test_a_quarter_that_was_not_read_stays_among_those_that_were() -> None:
    """One missing reading does not hide the others."""
    missing = shown()[moment("1d02:00")].quarters[2]

    assert (missing.quarter, missing.conductivity) == ("LR", None)


def test_rows_are_those_of_just_this_cow() -> None:
    """Cow 9 is not cow 217, and a cow without rows has none."""
    visits = rows(visits=VISITS).visits

    assert set(rows_of(visits, "9")["start"]) == {moment("1d08:00")}
    assert rows_of(visits, "21").empty
