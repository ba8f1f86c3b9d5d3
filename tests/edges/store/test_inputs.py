"""What people said waits for the next tick, and is known at that one."""

from __future__ import annotations

import sqlite3
from typing import Any

import numpy as np
import pytest
from text_tables import moment
from whole.whole_farm import LATE_COW, Life, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.inputs import inputs_known_at, put_chore, waiting_inputs
from sentinel.edges.store.rows import all_rows
from sentinel.flow.model import Chore
from sentinel.flow.tables import CHORES


def test_what_people_said_waits_for_the_next_tick_once() -> None:
    """Left between two ticks, taken by one, and then remembered as known at that one."""
    life = Life(setup_of(LATE_COW))
    put_chore(life.store, Chore("wire", "east", moment("05:00"), "Marit", "moved"))
    assert len(waiting_inputs(life.store)[1]) == 1
    assert len(all_rows(life.store, CHORES)) == 0
    life.at("05:10")

    assert waiting_inputs(life.store) == ((), (), ())
    assert inputs_known_at(life.store, moment("05:10"))[1] == (
        Chore("wire", "east", moment("05:00"), "Marit", "moved"),
    )


@pytest.mark.parametrize("number", [np.int64(7), np.int32(7), np.uint8(7)])
def test_a_numpy_integer_never_becomes_a_blob(number: Any) -> None:
    """SQLite would take one as raw bytes; the strict tables refuse it."""
    store = Store(None)
    with pytest.raises((sqlite3.Error, TypeError)):
        put_chore(store, Chore("wire", "east", number, "Marit"))
    assert waiting_inputs(store)[1] == ()
