"""The clock: whole UTC seconds, waits that end, and the demo's faster clock."""

from __future__ import annotations

import threading
from datetime import UTC, datetime

from freezegun import freeze_time

from sentinel.demo.clock import StoryClock
from sentinel.edges.clock import BELIEVED_AFTER_S, Clock


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


# --- a clock that is wrong -------------------------------------------------------------------------------


class Moved(Clock):
    """A clock of which the wall clock and the real seconds are moved by hand."""

    def __init__(self) -> None:
        self.wall, self.run = 1_778_000_000.0, 50.0
        super().__init__()

    def _wall(self) -> float:
        return self.wall

    def _run(self) -> float:
        return self.run

    def after(self, seconds: float, wall: float | None = None) -> int:
        """What it shows so many seconds later; `wall`: by how much the wall clock moves in them, if not as much."""
        self.run += seconds
        self.wall += seconds if wall is None else wall
        return self.now() - 1_778_000_000


def test_a_clock_five_hours_ahead_for_twenty_seconds_never_was() -> None:
    """Time goes on with the real seconds; when the wall clock is right again it is gone by as before."""
    clock = Moved()
    shown = [clock.after(1), clock.after(1, 18_001), clock.after(18), clock.after(1, -17_999), clock.after(10)]

    assert shown == [1, 2, 20, 21, 31]
    assert clock.jumped_s == 0


def test_a_jump_that_stands_is_gone_by_and_counted() -> None:
    """Half a minute after it was first seen, ahead as well as back."""
    clock = Moved()
    ahead = [clock.after(1, 18_001), clock.after(BELIEVED_AFTER_S - 1), clock.after(1)]
    counted = clock.jumped_s
    back = [clock.after(1, -3599), clock.after(BELIEVED_AFTER_S)]

    assert ahead == [1, 30, 18_031]
    assert counted == 18_000
    assert back == [18_032, 18_032 + 30 - 3600]
    assert clock.jumped_s == 18_000 - 3600


def test_a_clock_that_jumps_about_is_gone_by_in_the_end() -> None:
    """Half a minute after the first jump, to whatever it shows then: time never waits for it to settle."""
    clock = Moved()
    shown = [clock.after(1, 5001), *(clock.after(7, 7 + by) for by in (900, -4000, 20_000)), clock.after(10)]

    assert shown[:-1] == [1, 8, 15, 22]
    assert shown[-1] == 32 + 5000 + 900 - 4000 + 20_000


def test_a_clock_that_is_set_a_little_is_followed_at_once() -> None:
    """Up to three seconds are no jump, also again and again."""
    clock = Moved()

    assert [clock.after(10, 12), clock.after(10, 7), clock.after(10, 13)] == [12, 19, 32]
    assert clock.jumped_s == 0
