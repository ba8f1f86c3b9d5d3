"""A long backlog through a whole service: what is decided on comes first, and the newest word on a row stays last."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from faults.real_farm import CLOCK, make_farm

from sentinel.edges.inbox import MOST_DEFERRED
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import seen_files
from sentinel.flow.model import DAY_S, TickKind
from sentinel.runtime.events import Read
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.runtime.service import Service

NOW = CLOCK.now() - 60
OLD = MOST_DEFERRED + 20


def export(farm: Path, name: str, days_ago: float, *rows: tuple[str, float, str]) -> None:
    """An export written so many days ago; its rows are cow, days ago and outcome."""
    lines = [
        f"{cow};{datetime.fromtimestamp(round(NOW - ago * DAY_S), UTC):%Y-%m-%d %H:%M:%S};1;{outcome}\n"
        for cow, ago, outcome in rows
    ]
    path = farm / "exports" / name
    path.write_text("".join(["Cow;Start;Box;Outcome\n", *lines]), encoding="utf-8")
    os.utime(path, (NOW - days_ago * DAY_S,) * 2)


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """Old exports, and two of today: a failure of now, and a row of an old export corrected."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"})
    for number in range(OLD):
        days = 100 + OLD - number
        export(farm, f"old{number:04}.csv", days, (str(number), days + 0.5, "failed"))
    export(farm, "now.csv", 0, ("999", 0, "failed"))
    export(farm, "corrects.csv", 0.1, ("5", 100 + OLD - 5 + 0.5, "milked"))
    return farm


@contextmanager
def serving(farm: Path) -> Iterator[tuple[Service, list[Read]]]:
    """The farm's service over its store, as a start makes it, and the exports that it reads."""
    setup, secrets, problems = load_setup(farm, {})
    assert setup is not None, problems
    read: list[Read] = []
    store = Store(farm / STORE_NAME)
    try:
        yield (
            Service(
                Farmyard(farm, setup, secrets, store),
                CLOCK,
                {},
                heard=lambda said: read.append(said) if isinstance(said, Read) else None,
            ),
            read,
        )
    finally:
        store.close()


def outcome(service: Service, cow: str) -> str:
    """How a cow's only visit ended."""
    [row] = fetch(service.store, "select outcome from visits where cow = ?", (cow,))
    return str(row["outcome"])


def test_a_start_decides_on_the_recent_exports_before_it_reads_the_old_ones(farm: Path) -> None:
    """The failure of now is told by the first tick; the look after it reads the first slice of the old ones."""
    with serving(farm) as (service, read):
        stepped = service.catch_up(TickKind.START, deferred=False)

        assert [one.name for one in read] == ["corrects.csv", "now.csv"]
        assert [alert.subject for alert in stepped.alerts] == ["cow:999"]
        assert read[-1].left == OLD


def test_a_newer_word_on_an_old_row_stays_the_last(farm: Path) -> None:
    """It is read before the old export that it corrects, and once more after it; nothing old is pushed."""
    with serving(farm) as (service, read):
        service.catch_up()

        names = [one.name for one in read]
        assert names[:2] == ["corrects.csv", "now.csv"]
        assert names[2:-1] == [f"old{number:04}.csv" for number in range(OLD)]
        assert names[-1] == "corrects.csv"
        assert outcome(service, "5") == "milked"
        assert fetch(service.store, "select count(*) from visits")[0][0] == OLD + 1
        assert [alert.subject for alert in all_alerts(service.store)] == ["cow:999"]
        assert as_arrived(service.store) == live_alerts(service.store)


def test_a_kill_between_the_two_readings_changes_nothing(farm: Path) -> None:
    """The store does not call it read before its turn has come, so that whoever comes after reads it again."""
    with serving(farm) as (service, _):
        service.catch_up(TickKind.START, deferred=False)
    with serving(farm) as (service, read):
        service.catch_up(TickKind.START)

        assert [one.name for one in read if not one.name.startswith("old")] == ["corrects.csv", "corrects.csv"]
        assert outcome(service, "5") == "milked"
        assert {row.name for row in seen_files(service.store)} >= {"corrects.csv", "now.csv"}


def test_old_exports_leave_the_rows_that_are_looked_at_alone(farm: Path) -> None:
    """What no decision looks back at costs nothing at the tick: the very frame of before is kept."""
    with serving(farm) as (service, _):
        service.catch_up(TickKind.START, deferred=False)
        assert service.engine.tables is not None
        before = service.engine.tables.visits
        service.catch_up()

        assert list(before["cow"]) == ["999"]
        assert service.engine.tables.visits is before
        assert fetch(service.store, "select count(*) from visits")[0][0] == OLD + 1


def test_a_start_waits_for_what_was_written_a_moment_ago(tmp_path: Path) -> None:
    """The milking that ended a moment ago refutes the failures beside it: they are decided together, or she is accused.

    A process that was killed starts while the exports of the hour are still being written.
    """
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"})
    settings = (farm / "farm.yaml").read_text(encoding="utf-8")
    (farm / "farm.yaml").write_text(settings.replace("settle: 0 s", "settle: 1 s"), encoding="utf-8")
    export(farm, "before.csv", 1, ("5", 0.1, "failed"))
    export(farm, "just_now.csv", 0, ("5", 0.1, "milked"))
    os.utime(farm / "exports" / "just_now.csv")
    with serving(farm) as (service, _):
        service.run(lambda stepped: service.stop())

        assert [tuple(row) for row in fetch(service.store, "select kind, files_to from ticks order by number")] == [
            ("start", 2),
            ("stop", 2),
        ]
