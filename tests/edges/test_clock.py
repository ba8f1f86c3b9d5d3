"""The clock: whole UTC seconds, waits that end, and the demo's faster clock."""

from __future__ import annotations

import threading
from datetime import UTC, datetime

import pytest
from freezegun import freeze_time

from sentinel.edges.clock import Clock, SpedClock


def test_now_is_whole_utc_seconds_rounded_down() -> None:
    """A moment 0.9 s after a full second is shown as that full second, whatever the machine's zone."""
    moment = datetime(2026, 3, 29, 1, 0, 7, 900_000, tzinfo=UTC)
    with freeze_time(moment):
        now = Clock().now()

    assert now == int(moment.timestamp())
    assert isinstance(now, int)


def test_wait_ends_at_its_moment() -> None:
    """Nobody sets the event: the wait ends when the clock shows the moment, not before, and says so."""
    clock = Clock()
    begin, until = clock.steady(), clock.stamps() + 0.15

    assert clock.wait(threading.Event(), until) is False
    assert clock.steady() - begin >= 0.14
    assert clock.stamps() >= until


def test_wait_ends_at_once_when_the_moment_has_passed() -> None:
    """A due moment in the past is no wait at all."""
    clock = Clock()
    begin = clock.steady()

    assert clock.wait(threading.Event(), clock.now() - 3600) is False
    assert clock.steady() - begin < 0.1


def test_wait_ends_when_the_event_is_set() -> None:
    """An export wakes the service out of a wait of an hour, and out of a wait without end."""
    clock = Clock()
    for until in (clock.now() + 3600, None):
        event = threading.Event()
        timer = threading.Timer(0.05, event.set)
        begin = clock.steady()
        timer.start()

        assert clock.wait(event, until) is True
        assert clock.steady() - begin < 2
        timer.join()


def test_a_sped_clock_shows_its_start_and_runs_faster() -> None:
    """At 3,600 times the speed, an hour of the farm is waited for in one real second."""
    start = 1_772_000_000
    clock = SpedClock(start, speed=3600)
    begin = clock.steady()

    assert start <= clock.now() <= start + 60
    assert clock.wait(threading.Event(), start + 900) is False
    assert clock.now() >= start + 900
    assert 0.2 <= clock.steady() - begin < 2


def test_a_sped_clock_leaves_file_stamps_real() -> None:
    """The age of a file is told by the machine's time even while the demo shows another week."""
    clock = SpedClock(0, speed=1000)

    assert abs(clock.stamps() - Clock().stamps()) < 1


def test_a_clock_that_stands_still_is_refused() -> None:
    """Speed 0 would wait for ever; it is refused with what was found."""
    with pytest.raises(ValueError, match="above 0"):
        SpedClock(0, speed=0)
