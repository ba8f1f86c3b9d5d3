"""The notifier, against real servers on this machine: what counts as delivered, what does not, in which order."""

from __future__ import annotations

import socket
import subprocess
import sys
import threading

import pytest
from edges.channel_servers import LINK, OK, hanging, message, serving

from sentinel.edges.clock import Clock
from sentinel.edges.notifier import Notifier, Outcome
from sentinel.flow.reasons import Reason

TAKEN = Reason("taken")


def test_a_message_arrives_with_its_text_its_link_and_its_id() -> None:
    """Title and text arrive once; the link and the notice's id stand at the end; a pressing one says so."""
    with serving(OK) as server:
        notifier = Notifier({"anna-phone": server.url})
        outcomes = [notifier.send(message()), notifier.send(message("n18", urgency="round", link=""))]

    assert outcomes == [
        Outcome("n17", "anna-phone", "delivered", TAKEN),
        Outcome("n18", "anna-phone", "delivered", TAKEN),
    ]
    assert [(b["title"], b["message"], b["type"]) for b in server.bodies()] == [
        ("Box 2", f"9 of 20 failed\n{LINK}\n#n17", "warning"),
        ("Box 2", "9 of 20 failed\n#n18", "info"),
    ]


def test_a_repeat_carries_the_same_id() -> None:
    """The second try of a notice ends in the same #n17 as the first, so that a person sees it is the same."""
    with serving(OK) as server:
        notifier = Notifier({"anna-phone": server.url})
        notifier.send(message())
        notifier.send(message())

    assert [b["message"].rsplit("\n", 1)[1] for b in server.bodies()] == ["#n17", "#n17"]


@pytest.mark.parametrize(
    ("answer", "detail"),
    [
        (b"HTTP/1.1 500 Oh\r\nContent-Length: 0\r\n\r\n", "the service answered 500"),
        (b"HTTP/1.1 404 No\r\nContent-Length: 0\r\n\r\n", "the service answered 404"),
        (b"\x00\xff\xfe nonsense \r\n\r\n" * 50, "no connection, or no sensible answer"),
        (b"", "no connection, or no sensible answer"),
        (
            b"HTTP/1.1 200 OK\r\nContent-Encoding: gzip\r\nContent-Length: 4\r\n\r\noops",
            "no connection, or no sensible answer",
        ),
    ],
)
def test_refusals_and_nonsense_are_failures_in_words(answer: bytes, detail: str) -> None:
    """An error status, garbage, a closed connection or a broken body never count as delivered."""
    with serving(answer) as server:
        outcome = Notifier({"anna-phone": server.url}).send(message())

    assert (outcome.notice, outcome.channel, outcome.state, str(outcome.detail)) == (
        "n17",
        "anna-phone",
        "failed",
        detail,
    )
    assert len(server.requests) == 1


def test_nobody_listening_is_a_failure() -> None:
    """A refused connection is a failure at once."""
    with serving(OK) as server:
        url = server.url
    outcome = Notifier({"anna-phone": url}).send(message())

    assert (outcome.state, str(outcome.detail)) == ("failed", "no connection, or no sensible answer")


def test_a_redirect_is_not_a_delivery() -> None:
    """A server that points elsewhere (a login page) would lose the message: it is not followed, though the URL asks."""
    with serving(OK) as elsewhere:
        there = (
            f"HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1:{elsewhere.port}/\r\nContent-Length: 0\r\n\r\n".encode()
        )
        with serving(there) as server:
            outcomes = [
                Notifier({"a": url}).send(message(channel="a")) for url in (server.url, server.url + "?redirect=yes")
            ]

    assert [(o.state, str(o.detail)) for o in outcomes] == [("failed", "the service answered 302")] * 2
    assert elsewhere.requests == []


def test_an_address_marked_optional_still_has_to_deliver() -> None:
    """Apprise calls the failure of an optional service a success; here only a real delivery is one."""
    with serving(b"HTTP/1.1 503 No\r\nContent-Length: 0\r\n\r\n") as server:
        outcome = Notifier({"a": server.url + "?optional=yes"}).send(message(channel="a"))

    assert outcome.state == "failed"


def test_a_server_that_drips_for_ever_is_unknown_after_the_time_limit() -> None:
    """Each byte in time keeps the connection alive without end: the try is given up after `timeout_s`, as unknown."""
    clock = Clock()
    with hanging() as server:
        begin_s = clock.steady()
        outcome = Notifier({"a": server.url}, timeout_s=0.5).send(message(channel="a"))
        took_s = clock.steady() - begin_s

    assert (outcome.state, str(outcome.detail)) == ("unknown", "no answer within 0.5 s; it may still arrive")
    assert 0.4 < took_s < 3


def test_hanging_channels_do_not_delay_the_others_however_often_they_are_tried() -> None:
    """Eight channels that hang, tried again and again, hold no place that a healthy channel needs."""
    outcomes: dict[str, Outcome] = {}
    clock = Clock()
    with hanging() as bad, serving(OK) as good:
        urls = {f"bad{n}": bad.url for n in range(8)} | {"good": good.url}
        notifier = Notifier(urls, timeout_s=0.4)
        for attempt in range(2):
            notifier.send_all([message(f"n{attempt}", channel=f"bad{n}") for n in range(8)], lambda outcome: None)
            assert notifier.finish(10)
        notifier.send_all([message("n9", channel=f"bad{n}") for n in range(8)], lambda outcome: None)
        begin_s = clock.steady()
        arrived = threading.Event()

        def done(outcome: Outcome) -> None:
            outcomes[outcome.channel] = outcome
            arrived.set()

        notifier.send_all([message("n9", channel="good")], done)
        assert arrived.wait(5)
        took_s = clock.steady() - begin_s
        assert notifier.finish(10)
        hang = sum(thread.name == "message" for thread in threading.enumerate())

    assert outcomes["good"].state == "delivered"
    assert took_s < 0.3
    assert len(bad.requests) == 24  # what was given up is let go, and the next one is begun
    assert hang <= 8


def test_while_a_try_still_hangs_no_further_one_is_begun() -> None:
    """The second message to a hanging channel fails without being sent; when the channel is free it goes out."""
    free = threading.Event()

    def first_hangs(connection: socket.socket) -> None:
        free.wait(5)
        connection.sendall(OK)

    with serving(first_hangs) as server:
        notifier = Notifier({"a": server.url}, timeout_s=0.2)
        first, second = notifier.send(message("n1", "a")), notifier.send(message("n2", "a"))
        free.set()
        third = notifier.send(message("n2", "a"))

    assert [first.state, second.state, third.state] == ["unknown", "failed", "delivered"]
    assert str(second.detail) == "not sent: an earlier message is still stuck"
    assert [b["message"][-2:] for b in server.bodies()] == ["n1", "n2"]


def test_messages_of_a_channel_go_out_in_order_and_only_once_at_a_time() -> None:
    """Ten messages keep their order; a notice that is already in line is not put in line again."""
    outcomes: list[Outcome] = []
    gate = threading.Event()

    def after_the_gate(connection: socket.socket) -> None:
        gate.wait(5)
        connection.sendall(OK)

    with serving(after_the_gate) as server:
        notifier = Notifier({"a": server.url})
        messages = [message(f"n{n}", "a") for n in range(10)]
        notifier.send_all(messages, outcomes.append)
        notifier.send_all(messages, outcomes.append)
        gate.set()
        assert notifier.finish(20)
        notifier.close()

    assert [o.notice for o in outcomes] == [f"n{n}" for n in range(10)]
    assert [b["message"].rsplit("#", 1)[1] for b in server.bodies()] == [f"n{n}" for n in range(10)]


def test_an_outcome_that_cannot_be_noted_does_not_end_the_line(caplog: pytest.LogCaptureFixture) -> None:
    """If the one who is told fails, that is logged, and the next message goes out."""
    noted: list[str] = []

    def done(outcome: Outcome) -> None:
        noted.append(outcome.notice)
        if outcome.notice == "n1":
            raise RuntimeError("the store is busy")

    with serving(OK) as server:
        notifier = Notifier({"a": server.url})
        notifier.send_all([message("n1", "a"), message("n2", "a")], done)
        assert notifier.finish(10)

    assert noted == ["n1", "n2"]
    assert "the outcome of notice n1 could not be noted" in caplog.text


def test_finish_says_when_something_is_still_under_way() -> None:
    """A single run that sends and exits can tell that a message has no outcome yet."""
    with hanging() as server:
        notifier = Notifier({"a": server.url}, timeout_s=1.0)
        notifier.send_all([message("n1", "a")], lambda outcome: None)
        early = notifier.finish(0.05)
        late = notifier.finish(5)

    assert (early, late) == (False, True)


def test_an_unknown_channel_is_a_failure() -> None:
    """A person whose channel has no address is told of, not silently passed over."""
    assert Notifier({}).send(message()).detail == Reason("address-missing")


def test_apprise_is_loaded_at_the_first_message_only() -> None:
    """A farm that sends nothing does not pay for tens of megabytes: importing the notifier does not import Apprise."""
    code = "import sys, sentinel.edges.notifier; print('apprise' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert said.stdout.strip() == "False"


def test_what_sending_needs_can_be_loaded_before_the_first_message() -> None:
    """A notifier with somebody to send to gets ready when told to; one without loads nothing."""
    code = (
        "import sys; from sentinel.edges.notifier import Notifier\n"
        "for urls in ({}, {'a': 'json://127.0.0.1'}):\n"
        "    Notifier(urls).get_ready(); print('apprise' in sys.modules)\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert said.stdout.split() == ["False", "True"]
