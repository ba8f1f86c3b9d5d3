"""Rows of which some columns could not be read stand apart without them, in the file's order."""

from __future__ import annotations

from sentinel.flow.feeds.parts import Parts


def test_a_part_begins_where_other_columns_are_missing() -> None:
    """Those columns are left out of it, so that what an earlier export said of them stands."""
    parts = Parts("visits", ("cow", "start", "milk_kg"))
    parts.add(("7", 0, 9.5), 2)
    parts.add(("8", 60, None), 3, {"milk_kg"})
    parts.add(("9", 120, 8.0), 4)

    assert [(one.columns, one.values, one.lines) for one in parts.rows()] == [
        (("cow", "start", "milk_kg"), (("7", 0, 9.5),), (2,)),
        (("cow", "start"), (("8", 60),), (3,)),
        (("cow", "start", "milk_kg"), (("9", 120, 8.0),), (4,)),
    ]


def test_without_rows_there_is_one_part_with_all_columns() -> None:
    """So that it is known what the file carries."""
    [one] = Parts("visits", ("cow", "start")).rows()

    assert (one.columns, one.values) == (("cow", "start"), ())


def test_very_many_parts_are_joined() -> None:
    """Rows that alternate five thousand times take a thousand parts, and none is lost."""
    parts = Parts("visits", ("cow", "start", "milk_kg"))
    for n in range(5000):
        parts.add(("7", n, 1.0), n, {"milk_kg"} if n % 2 else ())

    rows = parts.rows()

    assert len(rows) == 1000
    assert sorted(line for one in rows for line in one.lines) == list(range(5000))
