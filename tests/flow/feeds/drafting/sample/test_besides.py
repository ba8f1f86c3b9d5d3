"""Rows that are no rows: units below the titles, and a last row of totals."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds import load_feed_map, read_export
from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.sample.besides import rows_besides
from sentinel.flow.feeds.drafting.sample.sniff import sniff
from sentinel.flow.model import Export

ROWS = "".join(f"{7 + n * 5 % 23};04.05.2026 {n // 6:02d}:{n * 10 % 60:02d}:07;{n % 2 + 1};8950\n" for n in range(60))
TITLES = "Cow;Start;Box;Milk\n"


def export(text: str) -> Export:
    """A file."""
    return Export("v.csv", text.encode(), 0)


def test_units_and_totals_are_no_rows_and_the_draft_skips_them() -> None:
    """The figures stay figures, the unit is taken from its row, and reading by the map sets nothing aside."""
    text = f"Visits;Home farm\n\n{TITLES};;;g\n{ROWS}Total;60;;537000\n"
    sample = sniff(export(text))
    draft = drafted([export(text)], "UTC").text
    feed, problems = load_feed_map(draft, "v.yaml")

    assert (sample.header_line, sample.units, len(sample.columns[0])) == (3, {"Milk": "g"}, 60)
    assert 'skip_lines: [";;;g", "Total"]' in draft
    assert "milk_kg: {column: Milk, unit: g}" in draft
    assert problems == []
    assert feed is not None
    assert read_export(feed, export(text), "UTC").set_aside == ()


@pytest.mark.parametrize(
    ("last", "totals"),
    [
        (["Summe", "60", "", "537"], 3),
        (["Alles", "", "", "537"], 3),
        (["", "", "", "537"], -1),
        (["9", "x", "1", "5"], -1),
        (["Rosa", "x", "1", "5"], -1),
    ],
    ids=["a word that is known", "a word among numbers", "no word", "a row", "a cow with a name"],
)
def test_a_last_row_is_totals_by_its_word_or_its_form(last: list[str], totals: int) -> None:
    """A word where all other rows have numbers, and fewer cells than they have."""
    body = [["7", "a", "1", "8"], ["8", "b", "2", "9"], ["9", "c", "1", "7"], last]

    assert rows_besides(body, ends=True).totals == totals
    assert rows_besides(body, ends=False).totals == -1


def test_a_row_of_words_is_no_row_of_units() -> None:
    """Nor is a row of figures."""
    assert rows_besides([["cow", "kg"], ["7", "9"]], ends=False).units == []
    assert rows_besides([["7", "9"], ["7", "9"]], ends=False).units == []
    assert rows_besides([["", "kg", "%"], ["7", "9", "4"]], ends=False).units == ["", "kg", "%"]
