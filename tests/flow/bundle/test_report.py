"""The report: what an inspector reads, in the farm's words, with its seal."""

from __future__ import annotations

from dataclasses import replace

from sentinel.edges.locales import catalogue
from sentinel.flow.bundle.report import Part, report
from sentinel.flow.language import PLAIN, Words, english

from .test_tables import SPAN, record

HEAD = "ab" * 32


def part(heading: str, words: Words | None = None) -> Part:
    """One part of the report of a small farm's day."""
    made = report(record(), "Tinfield", SPAN.end, 12, HEAD, words or english("UTC"))
    return next(one for one in made.parts if one.heading == heading)


def test_it_says_whose_it_is_of_when_and_what_proves_it() -> None:
    """Name, span, zone; the number of entries and the last hash."""
    made = report(record(), "Tinfield", SPAN.end, 12, HEAD, english("UTC"))

    assert made.farm == "Tinfield" and "UTC" in made.lines[2]
    assert made.seal[1] == HEAD and "12 entries" in made.seal[0]
    assert len(made.parts) == 6
    assert all(len(row) == len(one.columns) for one in made.parts for row in one.rows)


def test_chores_are_told_by_their_gaps() -> None:
    """Twice at box 1 with one gap known; once elsewhere."""
    rows = {row[0]: row[1:5] for row in part("Chores").rows}

    assert ("2", "3 h", "3 h", "3 h") in rows.values()
    assert ("1", "19 h", "19 h", "19 h") in rows.values()


def test_a_mean_over_its_limit_is_in_bold() -> None:
    """With a limit of 200 the mean of 282.8 is past it; with 400 it is not."""
    strict = {name: rule.model_copy(update={"raise_over": 200.0}) for name, rule in record().rules.items()}
    over = report(replace(record(), rules=strict), "Tinfield", SPAN.end, 1, HEAD, english("UTC"))

    assert [one.strong for one in over.parts if one.heading == "Tank results"] == [frozenset({0})]
    assert part("Tank results").strong == frozenset()
    assert part("Tank results").rows[0][2:5] == ("100", "282.8", "400")


def test_it_is_said_in_the_farms_language() -> None:
    """Headings and figures; what people wrote stays as it is."""
    german = Words("Europe/Berlin", PLAIN[","], catalogue("de"))

    tank = part("Ergebnisse der Tankmilch", german)
    assert tank.columns[3] == "Gleitendes Mittel" and tank.rows[0][3] == "282,8"
    assert part("Meldungen und Antworten", german).rows[0][4].startswith("Marit")
