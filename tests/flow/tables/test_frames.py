"""Each table is registered once, and whole: its frame, how long it is kept, what reads it in bulk."""

from __future__ import annotations

from dataclasses import fields

import pytest

from sentinel.flow.measures import MEASURES
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import (
    EXPORTED,
    IN_BULK,
    MEASURED,
    OWN,
    PER_COW,
    STORED,
    Table,
    Tables,
    frame_types,
    stored_columns,
    table_named,
)


@pytest.mark.parametrize("table", STORED, ids=lambda table: table.name)
def test_a_table_is_kept_for_as_long_as_its_measures_look_back(table: Table) -> None:
    """One without keeping would be empty in the window, one kept too short would let values change with time.

    Of a table with `latest` the newest row is there in any case, and older ones tell nothing.
    """
    reach = [
        measure.lookback_s
        for measure in MEASURES
        if table.name in {name.partition(".")[0] for name in (*measure.needs, *measure.uses)} and not table.latest
    ]

    assert table.kept_s >= max(reach, default=DAY_S)


@pytest.mark.parametrize("table", (*EXPORTED, *OWN), ids=lambda table: table.name)
def test_a_table_has_its_moment_and_key_among_its_columns(table: Table) -> None:
    """And its rows are stored in a table that has a frame of its own."""
    assert {table.happened, *table.key} <= {*table.names}
    assert table_named(table.stored_as) in STORED
    assert {field.name for field in fields(Tables)} - {"farm", "derived"} == {one.name for one in STORED}
    assert list(frame_types(table)) == list(stored_columns(table))


def test_what_a_measure_reads_is_read_by_a_replay_in_bulk() -> None:
    """All that exports give is, and of its own tables those that do not tell of the arrival of data."""
    rests_on = {
        name.partition(".")[0]
        for measure in MEASURES
        if not measure.about_arrival
        for name in (*measure.needs, *measure.uses)
    }

    assert rests_on <= {table.name for table in IN_BULK}
    assert set(MEASURED) <= set(IN_BULK)


def test_readings_of_single_cows_are_said_to_be_so() -> None:
    """A table keyed by cow is per cow, but for the herd list, whose rows say what is true of her from then on."""
    keyed = {table.name for table in MEASURED if table.key[0] == "cow"}

    assert set(PER_COW) == keyed - {"cows"}
