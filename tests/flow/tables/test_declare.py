"""What a table declares of itself can be asked of it."""

from __future__ import annotations

import pytest

from sentinel.flow.tables import Column, Table

WASHES = Table(
    "washes",
    "One wash.",
    key=("box", "at"),
    happened="at",
    columns=(Column("box", "text", "which box"), Column("at", "time", "when"), Column("heat_C", "number", "how hot")),
)


def test_a_column_is_found_by_its_name() -> None:
    """One that there is not is an error of whoever asks, and names itself."""
    assert WASHES.names == ("box", "at", "heat_C")
    assert WASHES.column("heat_C").kind == "number"
    with pytest.raises(KeyError, match="heat"):
        WASHES.column("heat")


def test_a_table_is_stored_under_its_own_name_unless_within_another() -> None:
    """As the quarters of a milking are columns of its visit."""
    within = Table("parts", "", key=(), happened="at", columns=(), within="washes")

    assert WASHES.stored_as == "washes"
    assert within.stored_as == "washes"
