"""What a service replies without end: it neither fills the memory nor holds the channel for ever."""

from __future__ import annotations

import gzip
import threading

import pytest
from edges.test_notifier import serving
from faults.real_farm import CLOCK
from faults.sending.bad_receiver import BadReceiver

from sentinel.edges.machine import memory_used
from sentinel.edges.memory import settle
from sentinel.edges.notifier import Message, Notifier

MESSAGE = Message("7", "phone", "Anna", "Box 2", "9 of 20 failed", "now")


@pytest.mark.parametrize("way", ["drips", "drips headers"])
def test_a_reply_that_drips_does_not_hold_the_channel_once_it_works_again(way: str) -> None:
    """The old connection goes on dripping, as that of a stuck proxy does; the next message goes out all the same."""
    with BadReceiver(CLOCK.stamps) as receiver:
        receiver.be(way)
        notifier = Notifier({"phone": receiver.url_for("anna")}, timeout_s=1.5)

        assert notifier.send(MESSAGE).state == "unknown"
        receiver.be("works")
        assert notifier.send(MESSAGE).state == "delivered"

    assert [one.notice for one in receiver.delivered()] == ["7"]


def test_a_reply_without_end_is_cut_off_and_counts_as_what_it_began_with() -> None:
    """It said 200: the message was taken, and is not sent again."""
    settle()
    before = memory_used() or 0
    with BadReceiver(CLOCK.stamps) as receiver:
        receiver.be("floods")
        outcome = Notifier({"phone": receiver.url_for("anna")}, timeout_s=5).send(MESSAGE)

    assert outcome.state == "delivered"
    assert (memory_used() or 0) - before < 50_000_000


@pytest.mark.parametrize(("packed", "times"), [("gzip", 1), ("gzip, gzip", 2)])
def test_a_reply_that_unpacks_to_too_much_is_not_unpacked(packed: str, times: int) -> None:
    """A few thousand bytes that would unpack to hundreds of megabytes."""
    body = bytes(400_000_000 if times == 2 else 40_000_000)
    for _ in range(times):
        body = gzip.compress(body, 1 if times == 2 and len(body) > 10_000_000 else 9)
    head = f"HTTP/1.1 200 OK\r\nContent-Encoding: {packed}\r\nContent-Length: {len(body)}\r\nConnection: close\r\n\r\n"
    most: list[int] = []
    done = threading.Event()
    before = memory_used() or 0

    def watch() -> None:
        while not done.wait(0.005):
            most.append(memory_used() or 0)

    watcher = threading.Thread(target=watch)
    with serving(head.encode() + body) as server:
        watcher.start()
        outcome = Notifier({"phone": server.url}, timeout_s=10).send(MESSAGE)
        done.set()
        watcher.join()

    assert outcome.state in ("delivered", "failed")
    assert max(most, default=before) - before < 100_000_000
