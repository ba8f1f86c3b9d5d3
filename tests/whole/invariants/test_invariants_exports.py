"""Invariant 6: exports are somebody else's; they are read, never moved, changed or deleted."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from text_tables import moment
from whole.whole_farm import BOX_FAILURES, FEED_QUIET, LATE_COW

from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import forget_set_aside
from sentinel.flow.model import TickKind
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.service import Service

FARM = "name: Tinfield\nzone: UTC\nboxes: ['1', '2']\nsettle: 0 s\n"
FEED = """
feed: milkings
files: "milkings_*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M"
tables:
  visits: {cow: Cow, start: Start, box: Box, outcome: {column: Ended, words: {done: milked, missed: failed}}}
"""


class Standing(Clock):
    """A clock that stands at a moment until it is put on."""

    def __init__(self, at: int) -> None:
        self.at = at

    def _now(self) -> float:
        return float(self.at)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A farm folder whose exports nobody but their owner may write."""
    for room in ("feeds", "rules", "exports/old"):
        (tmp_path / room).mkdir(parents=True)
    (tmp_path / "farm.yaml").write_text(FARM)
    (tmp_path / "feeds/milkings.yaml").write_text(FEED)
    (tmp_path / "rules/rules.yaml").write_text(LATE_COW + FEED_QUIET + BOX_FAILURES)
    head = "Cow;Start;Box;Ended\n"
    texts = {
        "milkings_1.csv": head + "7;2024-06-03 05:00;1;done\n",
        "milkings_2.csv": head + "9;2024-06-03 05:10;1;missed\nx;never;;\n",
        "old/milkings_0.csv": head + "8;2024-06-02 05:00;2;done\n",
        "notes.txt": "not for us",
        "milkings_3.csv": "\x00\x01 not a table",
    }
    for name, text in texts.items():
        (tmp_path / "exports" / name).write_text(text)
        os.utime(tmp_path / "exports" / name, (1_000_000_000, 1_000_000_000))
    for path in [*(tmp_path / "exports").rglob("*"), tmp_path / "exports"]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    return tmp_path


def as_found(exports: Path) -> dict[str, Any]:
    """Everything about the exports that a program could change."""
    return {
        str(path.relative_to(exports)): (path.stat().st_ino, path.stat().st_mtime_ns, path.stat().st_mode)
        + ((path.read_bytes(),) if path.is_file() else ())
        for path in [exports, *sorted(exports.rglob("*"))]
    }


def test_reading_every_export_leaves_the_folder_as_it_was(folder: Path) -> None:
    """Good, bad and foreign files, read twice and from a read-only folder, are untouched."""
    before = as_found(folder / "exports")
    setup, secrets, problems = load_setup(folder, {})
    assert setup is not None, problems
    store = Store(folder / "sentinel.db")
    service = Service(Farmyard(folder, setup, secrets, store), Standing(moment("06:00")), {})
    service.catch_up(TickKind.START)
    forget_set_aside(store)
    again = Service(Farmyard(folder, setup, secrets, store), Standing(moment("07:00")), {})
    again.catch_up()

    assert len(fetch(store, "select 1 from visits")) == 3
    assert len(fetch(store, "select 1 from files")) >= 3
    assert as_found(folder / "exports") == before
