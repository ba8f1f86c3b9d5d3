"""What a file does to whoever reads or stores it is its own matter: it is set aside and told, the next one comes."""

import logging
import sqlite3
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast

import pytest
from faults.files.hostile_files import Ticking, setup
from faults.files.mutants import BEGIN, TITLES

from sentinel.edges.inbox import Inbox
from sentinel.edges.settings import Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import forget_set_aside
from sentinel.edges.store.rows import count_rows
from sentinel.flow.model import Batch, Export, Tick
from sentinel.flow.setup import Setup
from sentinel.flow.tables import VISITS
from sentinel.runtime.engine import Engine
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.known.window import TOO_MANY
from sentinel.runtime.reading.export_reading import absorb
from sentinel.runtime.service import Service

ROW = "7;01.05.2026 06:00;1;9,5;ok;1;5;5;5;5;0;0;0;0\n"
GOOD = Export("lines_1.csv", (";".join(TITLES) + "\n" + ROW).encode(), BEGIN)


@pytest.fixture(autouse=True)
def _quiet() -> Iterator[None]:
    """What is logged of such a file is not for the test's own output."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


class Failing:
    """An engine that fails to store what has rows."""

    def __init__(self, engine: Engine, error: Exception) -> None:
        self.setup: Setup = engine.setup
        self._engine = engine
        self._error = error

    def absorb(self, at: int, batch: Batch, inside: Callable[[], None]) -> None:
        """Store it, or fail on the way."""

        def fail() -> None:
            inside()
            if batch.rows:
                raise self._error

        self._engine.absorb(at, batch, fail)


def failing(store: Store, error: Exception) -> Any:
    """An engine over the store that fails so."""
    return Failing(Engine(store, setup()), error)


@pytest.mark.parametrize(
    "error", [OverflowError("too large to convert"), sqlite3.IntegrityError("not null"), KeyError("x")]
)
def test_a_file_that_cannot_be_stored_is_set_aside_whole(error: Exception) -> None:
    """With what went wrong; nothing of it is kept, it counts as read, and the alert tells of it."""
    store, remembered = Store(None), []
    batch = absorb(failing(store, error), BEGIN, GOOD, "", lambda batch: remembered.append(1))

    assert batch is not None
    assert [str(one.reason) for one in batch.set_aside] == [f"it cannot be stored ({type(error).__name__}: {error})"]
    assert fetch(store, "select count(*) as n from visits")[0]["n"] == 0
    assert len(remembered) == 2  # the first time was undone
    engine = Engine(store, setup())
    assert [alert.subject for alert in engine.step(Tick(BEGIN)).alerts if alert.rule == "rows-set-aside"] == [
        "unread:lines/storing failed"
    ]


@pytest.mark.parametrize("error", [sqlite3.OperationalError("database or disk is full"), OSError(28, "no space left")])
def test_what_is_the_machines_fault_is_not_the_files(error: Exception) -> None:
    """A full disk says nothing of the file: it is read again when there is room."""
    store = Store(None)

    with pytest.raises(type(error)):
        absorb(failing(store, error), BEGIN, GOOD, "", lambda batch: None)
    assert fetch(store, "select * from files") == []


def test_a_file_too_large_is_never_read_and_told_once(tmp_path: Path) -> None:
    """A terabyte with nothing in it; that it goes on growing is not told again; small again, it is read."""
    path = tmp_path / "lines_2.csv"
    with path.open("wb") as file:
        file.truncate(1 << 40)
    inbox = Inbox(tmp_path, {}, quiet_s=0, tail_s=0)

    (found,) = inbox.scan(0, 2e10).files
    assert (str(found.refused), len(found.content)) == ("it is larger than 16 MB", 65_536)
    inbox.settled(found.name, found.seen)
    assert inbox.scan(1, 2e10).files == ()
    with path.open("r+b") as file:
        file.truncate((1 << 40) + 9)
    scan = inbox.scan(2, 2e10)
    assert (scan.files, [one.size for one in scan.unchanged]) == ((), [(1 << 40) + 9])
    path.write_bytes(GOOD.content)
    (found,) = inbox.scan(3, 2e10).files
    assert (found.content, found.read_from, found.refused) == (GOOD.content, 0, None)


def test_a_file_too_large_is_told_to_a_person_and_read_when_it_may_be(tmp_path: Path) -> None:
    """The alert says so; after the setting was raised, `once --again` reads it."""
    inbox = tmp_path / "exports"
    inbox.mkdir()
    (inbox / "lines_3.csv").write_bytes(GOOD.content + ROW.replace("06:", "07:").encode() * 60)
    store, clock = Store(None), Ticking()
    small = setup("one_file: {size: 0.002 MB}\n")
    service = Service(Farmyard(tmp_path, small, Secrets({}), store), cast(Any, clock), {}, heard=lambda one: None)
    clock.at = 2_000_000_000

    stepped = service.catch_up()
    (alert,) = [one for one in stepped.alerts if one.rule == "rows-set-aside"]
    assert alert.text.endswith("none of it could be read. First reason: it is larger than 0.002 MB")
    assert forget_set_aside(store) == ["lines_3.csv"]
    clock.at += 10
    Service(Farmyard(tmp_path, setup(), Secrets({}), store), cast(Any, clock), {}, heard=lambda one: None).catch_up()
    assert [row["rows_read"] for row in fetch(store, "select rows_read from files order by id")] == [0, 61]


def visits_of(number: int, many: int, day: int = 0) -> Export:
    """An export of so many visits of one day and cows of its own."""
    start = datetime.fromtimestamp(BEGIN - 86400 * (day + 1), UTC)
    rest = f";{start:%d.%m.%Y %H:%M};1;9,5;ok;1;5;5;5;5;0;0;0;0\n"
    return Export(
        f"lines_{number}.csv",
        (";".join(TITLES) + "\n" + "".join(f"{number}/{n}{rest}" for n in range(many))).encode(),
        BEGIN,
    )


def test_many_large_files_together_do_not_fill_the_memory() -> None:
    """The larger they are the sooner there is no room; a day's exports are taken all the same, and older rows too.

    Where nothing is yet, one as large as a file may be is taken.
    """
    assert absorb(Engine(Store(None), setup()), BEGIN, visits_of(0, 49_999), "", lambda batch: None).set_aside == ()  # type: ignore[union-attr]
    store = Store(None)
    engine = Engine(store, setup("one_file: {month: 50000}\n"))

    def reasons(export: Export) -> list[str]:
        batch = absorb(engine, BEGIN, export, "", lambda batch: None)
        assert batch is not None
        return [str(one.reason) for one in batch.set_aside]

    assert reasons(visits_of(1, 20_000)) == []
    assert reasons(visits_of(2, 20_000)) == [str(TOO_MANY)]
    assert reasons(visits_of(3, 9_000)) == []
    assert reasons(visits_of(4, 12_000, day=40)) == []
    assert reasons(visits_of(5, 11_000)) == [str(TOO_MANY)]
    for number in range(6, 9):
        assert reasons(visits_of(number, 450)) == []
    assert count_rows(store, VISITS, 0) == 20_000 + 9_000 + 12_000 + 3 * 450
    stepped = engine.step(Tick(BEGIN))
    [told] = [alert for alert in stepped.alerts if alert.rule == "rows-set-aside"]
    assert (told.subject, told.facts["file"], told.facts["more"]) == ("unread:lines/memory full", "lines_5.csv", 1)
