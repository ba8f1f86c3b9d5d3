"""`verify`: a log that was changed by hand is found."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.typed import sentinel

from sentinel.edges.settings import STORE_NAME


@contextlib.contextmanager
def tampering(farm: Path) -> Iterator[sqlite3.Connection]:
    """The store, opened by somebody else's hand; what guards the log within the file is taken off first."""
    conn = sqlite3.connect(farm / STORE_NAME)
    for (name,) in conn.execute("select name from sqlite_master where type = 'trigger'").fetchall():
        conn.execute(f"drop trigger {name}")
    yield conn
    conn.commit()
    conn.close()


@pytest.mark.parametrize(
    "change",
    [
        "update log set body = replace(body, 'optics dirty', 'nothing found') where kind = 'answer'",
        "update log set at = at - 60 where kind = 'raised' and seq = (select min(seq) from log where kind = 'raised')",
        "delete from log where kind = 'answer'",
        "update log set person = 'Somebody' where kind = 'answer'",
    ],
)
def test_verify_finds_what_was_changed(log: Path, change: str) -> None:
    """A log that was changed by hand: exit 2 and a sentence that names the entry; before, all is well."""
    assert "The log is whole" in sentinel("verify", log).words
    with tampering(log) as conn:
        assert conn.execute(change).rowcount == 1

    said = sentinel("verify", log)

    assert said.code == 2
    assert "the log is not whole" in said.err
    assert any(character.isdecimal() for character in said.err.partition("not whole")[2])
    assert "Traceback" not in said.err
