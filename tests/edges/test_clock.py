"""The clock: whole UTC seconds, waits that end, and the demo's faster clock."""

from __future__ import annotations

import threading
from datetime import UTC, datetime

from freezegun import freeze_time

from sentinel.demo.clock import StoryClock
from sentinel.edges.clock import Clock


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


def test_the_demos_clock_stands_still_until_it_is_moved() -> None:
    """It shows the moment of the story, never goes back, and leaves file stamps real."""
    clock = StoryClock(1_778_000_000)

    clock.move_to(1_778_000_600)
    clock.move_to(1_778_000_300)

    assert clock.now() == 1_778_000_600
    assert abs(clock.stamps() - Clock().stamps()) < 1


def test_a_wait_on_the_demos_clock_takes_the_story_there() -> None:
    """Who waits for a moment of the story gets there at once; who is woken leaves the story where it is."""
    clock, event = StoryClock(1_778_000_000), threading.Event()
    begin = clock.steady()

    assert clock.wait(event, 1_778_003_600) is False
    event.set()
    assert clock.wait(event, 1_778_007_200) is True
    assert clock.wait(event, None) is True
    assert clock.now() == 1_778_003_600
    assert clock.steady() - begin < 1
