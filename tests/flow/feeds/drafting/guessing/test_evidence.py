"""How much a column speaks for being a field."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.guessing.evidence import evidence
from sentinel.flow.feeds.drafting.sample.profile import Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample
from sentinel.flow.tables import table_named


def total(key: str, title: str, *cells: str) -> float:
    """All that speaks for a column with these cells being a field."""
    table, field = key.split(".")
    declared = table_named(table)
    return evidence(declared, declared.column(field), profiled(Source(title, cells), Sample("delimited"))).total


NUMBERS = [str(3 + 7 * n % 97) for n in range(60)]


@pytest.mark.parametrize(
    ("key", "likelier", "other"),
    [
        ("visits.cow", NUMBERS, [str(n) for n in range(60)]),  # what only counts the rows is no cow
        ("visits.cow", NUMBERS, [f"37200000000{n:04d}" for n in range(60)]),
        ("visits.cow", NUMBERS, ["Alma", "Bella", "Cora"] * 20),
        ("visits.box", ["1", "2"] * 30, ["1"] * 57 + ["2"] * 3),  # tries are mostly one
        ("visits.box", ["1", "2"] * 30, NUMBERS),
        ("tank.tank", ["1"] * 60, NUMBERS),
        ("visits.outcome", ["milked", "refused", "failed"] * 20, ["HF", "JE", "SR"] * 20),
        ("quarters.quarter", ["LF", "RF", "LR", "RR"] * 15, ["HF", "JE", "SR", "FV"] * 15),
    ],
)
def test_values_tell_where_titles_say_nothing(key: str, likelier: list[str], other: list[str]) -> None:
    """The same meaningless title over both."""
    assert total(key, "Zqzqzq", *likelier) > total(key, "Zqzqzq", *other) + 0.5


def test_a_title_as_it_is_declared_with_its_column_counts() -> None:
    """`at` is nothing but a little word, and a declared title of when a tank was read."""
    assert total("tank.at", "at", *["2026-05-04 06:00"] * 3) > total("tank.at", "zqzq", *["2026-05-04 06:00"] * 3) + 3


def test_what_cannot_be_read_as_a_field_is_never_it() -> None:
    """Words under the title of a figure."""
    assert total("visits.milk_kg", "Milk kg", "red", "blue") < -50
    assert total("visits.start", "Start", "red", "blue") < -50
