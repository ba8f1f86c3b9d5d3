"""`let-go`: says what is older than the farm keeps, and lets it go only when told to."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel

from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.flow.model import DAY_S


def aged(farm: Path, days: int = 1000) -> None:
    """Make all that the store has so many days older, but for its log, as if it had been read then."""
    store = Store(farm / "sentinel.db")
    with store.writing() as conn:
        conn.execute("update visits set start = start - ?", (days * DAY_S,))
    store.close()


def keep(farm: Path, text: str) -> None:
    """Say in farm.yaml for how long things are kept."""
    path = farm / "farm.yaml"
    path.write_text(f"{path.read_text()}keep: {text}\n")


def test_without_a_setting_everything_is_kept_for_ever(log: Path) -> None:
    """And it says so."""
    said = sentinel("let-go", log, "--yes")

    assert said.code == 0, said.err
    assert "Kept for ever" in said.words and "Nothing is that old." in said.words


def test_it_is_said_first_and_done_only_when_told_to(log: Path) -> None:
    """Old visits: counted, then gone; the log says how many, and is whole."""
    aged(log)
    keep(log, "{rows: 800 d}")
    first = sentinel("let-go", log)
    assert "Would go:" in first.words and "of visits" in first.words and "Add --yes" in first.words
    store = Store(log / "sentinel.db")
    visits = int(fetch(store, "select count(*) from visits")[0][0])
    store.close()
    assert visits > 0

    said = sentinel("let-go", log, "--yes")
    assert said.code == 0, said.err
    assert f"Gone: {visits} of visits." in said.words
    [entry] = sentinel("history", log, "--kind", "let-go", "--json").records
    assert entry["body"]["gone"] == {"visits": visits}
    assert entry["body"]["before"] <= Clock().now() - 800 * DAY_S
    assert "The log is whole" in sentinel("verify", log).words


def test_what_is_too_short_or_no_span_is_refused(log: Path) -> None:
    """With what would be right."""
    keep(log, "{rows: 30 d, photos: a while}")
    said = sentinel("let-go", log)

    assert said.code == 1
    assert "at least 800 d" in said.words and 'write it like "3 years"' in said.words
