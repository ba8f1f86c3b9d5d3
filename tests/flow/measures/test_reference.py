"""The table of measures in the docs."""

from __future__ import annotations

from sentinel.flow.measures import MEASURES
from sentinel.flow.measures.reference import measures_table


def test_measures_table() -> None:
    """The reference table has a line for every measure, with its unit and source."""
    head, _, *rows = measures_table().splitlines()

    assert head.startswith("| name | unit | per |")
    assert len(rows) == len(MEASURES)
    for measure, row in zip(MEASURES, rows, strict=True):
        cells = [cell.strip() for cell in row.strip("|").split("|")]
        assert cells[:2] == [f"`{measure.name}`", measure.unit] and cells[-2:] == [measure.source, measure.check]
