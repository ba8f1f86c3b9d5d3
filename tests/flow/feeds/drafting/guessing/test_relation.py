"""A finding between columns."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.guessing.relation import SURE, Relation


def test_a_finding_tells_a_unit_only_where_it_does() -> None:
    """Else the column's own evidence says it."""
    assert Relation("visits", "start", "Came", SURE).unit == ""
