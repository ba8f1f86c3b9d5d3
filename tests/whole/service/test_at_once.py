"""Two exports in one second: neither waits for the other, and the ticks are still whole seconds that rise."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from text_tables import moment
from whole.whole_farm import BOX_FAILURES

from sentinel.demo.phone import Phone
from sentinel.demo.play import running, wait_until
from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import all_notices, deliveries_due
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.service import Service

FARM = "name: Tinfield\nzone: UTC\nboxes: ['1', '2']\nsettle: 60 s\nlook_every: 60 s\n"
PEOPLE = "- person: Anna\n  channels: [anna]\n"
FEED = """
feed: milkings
files: "*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M"
tables:
  visits: {cow: Cow, start: Start, box: Box, outcome: {column: Ended, words: {done: milked, missed: failed}}}
"""
NOON = moment("12:00")


class Standing(Clock):
    """A clock that stands at a moment until somebody waits for a later one; `waits` counts that."""

    def __init__(self, at: int) -> None:
        self.at, self.waits = at, 0

    def _now(self) -> float:
        return float(self.at)

    def wait(self, event: threading.Event, until: float | None) -> bool:
        """Go to `until` at once."""
        assert until is not None
        self.at, self.waits = int(until), self.waits + 1
        return event.is_set()


@pytest.fixture
def phone() -> Iterator[Phone]:
    """A receiver of notices."""
    with Phone() as found:
        yield found


@pytest.fixture
def service(tmp_path: Path, phone: Phone) -> Iterator[Service]:
    """A farm's service at noon, by a clock that stands."""
    for room in ("feeds", "rules", "exports", "outside"):
        (tmp_path / room).mkdir()
    (tmp_path / "farm.yaml").write_text(FARM)
    (tmp_path / "people.yaml").write_text(PEOPLE)
    (tmp_path / "feeds/milkings.yaml").write_text(FEED)
    (tmp_path / "rules/rules.yaml").write_text(BOX_FAILURES)
    (tmp_path / "secrets.yaml").touch(mode=0o600)
    (tmp_path / "secrets.yaml").write_text(f'channels: {{anna: "{phone.url}"}}\n')
    setup, secrets, problems = load_setup(tmp_path, {})
    assert setup is not None, problems
    store = Store(tmp_path / "sentinel.db")
    yield Service(Farmyard(tmp_path, setup, secrets, store), Standing(NOON), {}, heard=lambda said: None)
    store.close()


def drop(service: Service, name: str, box: int) -> None:
    """An export with three failures at a box, moved into the inbox with an old time."""
    outside = service.yard.folder / "outside" / name
    lines = [f"{box}{n};2024-06-03 11:{n}0;{box};missed" for n in range(3)]
    outside.write_text("\n".join(["Cow;Start;Box;Ended", *lines, ""]))
    os.utime(outside, (1_000_000_000, 1_000_000_000))
    outside.rename(service.inbox.folder / name)


def ticks(service: Service) -> list[int]:
    """The moments of the ticks, in seconds after noon."""
    return [row["at"] - NOON for row in fetch(service.store, "select at from ticks order by at")]


def test_the_second_export_of_a_second_does_not_wait(service: Service) -> None:
    """Its tick stands one second ahead of the clock; a third one waits, so that no tick is further ahead than that."""
    clock = service.clock
    assert isinstance(clock, Standing)
    waits = []
    for box in (1, 2, 3):
        drop(service, f"{box}.csv", box)
        service.catch_up()
        waits.append(clock.waits)

    assert ticks(service) == [0, 1, 2]
    assert waits == [0, 0, 1]
    assert clock.at == NOON + 1


def test_a_notice_of_a_tick_ahead_of_the_clock_is_sent_at_once(service: Service, phone: Phone) -> None:
    """Both notices go out while the clock still stands, and neither is noted as delivered before it was written."""
    for box in (1, 2):
        drop(service, f"{box}.csv", box)
        service.catch_up()
    count, outcomes = service.drain(20)
    delivered = [entry.entry.at - NOON for entry in log_entries(service.store, kind="delivered")]

    assert (count, [one.state for one in outcomes]) == (2, ["delivered"] * 2)
    assert [message.title.partition(":")[0] for message in phone.messages] == ["Box 1", "Box 2"]
    assert sorted(delivered) == [0, 1]


def test_what_became_of_a_message_takes_no_second_from_an_export(service: Service, phone: Phone) -> None:
    """How a notice ended is taken in a second that nothing else needed: an export right after it need not wait."""
    clock = service.clock
    assert isinstance(clock, Standing)
    with running(service):
        with service.before_a_look():
            pass
        clock.at += 10
        for box in (1, 2):
            with service.before_a_look():
                drop(service, f"{box}.csv", box)
            assert wait_until(lambda count=box: len(log_entries(service.store, kind="delivered")) == count, 20)
            with service.before_a_look():
                pass
        standing, waiting = ticks(service), waiting_inputs(service.store)[2]
        with service.before_a_look():
            clock.at += 60
        moved = ticks(service)
        waits, still_waiting = clock.waits, waiting_inputs(service.store)[2]

    assert standing == [0, 10, 11]
    assert [delivery.notice for delivery in waiting] == ["2"]  # the first was taken along by the second export
    assert moved == [0, 10, 11, 70]
    assert (waits, still_waiting) == (0, ())


def test_a_message_is_not_held_back_by_a_clock_that_was_put_back(service: Service, phone: Phone) -> None:
    """With the clock half an hour behind the last tick a notice goes out all the same, dated by the clock as it is."""
    clock = service.clock
    assert isinstance(clock, Standing)
    service.catch_up()
    drop(service, "1.csv", 1)
    service.catch_up()
    clock.at -= 1800
    drop(service, "2.csv", 2)
    service.catch_up()
    count, _ = service.drain(20)

    assert count == 2
    assert clock.waits == 0
    assert [message.title.partition(":")[0] for message in phone.messages] == ["Box 1", "Box 2"]
    assert [notice.at - NOON for notice in all_notices(service.store)] == [-1800, -1799]
    assert [one.entry.body for one in log_entries(service.store, kind="clock-jump")] == [{"by_s": -1800}]


def test_a_message_is_neither_given_up_nor_put_off_for_a_jump_of_the_clock(service: Service, phone: Phone) -> None:
    """A channel is down while the clock stands a day ahead: the message counts as new, and it is tried again."""
    clock, store = service.clock, service.store
    assert isinstance(clock, Standing)
    drop(service, "1.csv", 1)
    service.catch_up()
    phone.close()
    clock.at, clock.jumped_s = NOON + 86_400, 86_400.0
    [failed] = service.drain(20)[1]
    waits = [tuple(row) for row in fetch(store, "select outcome, next_at from deliveries")]
    clock.at, clock.jumped_s = NOON + 2, 0.0
    due = [row.notice for row in deliveries_due(store, clock.now())]

    assert failed.state != "delivered"
    assert waits == [("waiting", NOON + 86_400 + 5)]
    assert due == [1]
