"""What a service can do more than others, and that only what Apprise offers to all is used."""

from __future__ import annotations

import ast
import json
from dataclasses import replace
from pathlib import Path
from urllib.parse import parse_qsl

import apprise
import pytest
from edges.channel_servers import LINK, OK, message, serving

from sentinel.edges import notifier, replies, services
from sentinel.edges.clock import Clock
from sentinel.edges.notifier import Notifier, _service, check
from sentinel.edges.services import load


def test_ntfy_gets_a_high_priority_and_a_link_to_tap() -> None:
    """`now` is sent with high priority and the link on the message, unless the address itself says otherwise."""
    with serving(OK) as server:
        notifier = Notifier(
            {
                "plain": f"ntfy://127.0.0.1:{server.port}/topic",
                "own": f"ntfy://127.0.0.1:{server.port}/topic?priority=low&click=http://own.example/",
            }
        )
        for channel, urgency in (("plain", "now"), ("plain", "round"), ("own", "now")):
            assert notifier.send(message("n1", channel, urgency)).state == "delivered"
    heads = [
        {
            name.lower(): value
            for name, _, value in (line.partition(": ") for line in request.decode().split("\r\n\r\n")[0].split("\r\n"))
        }
        for request in server.requests
    ]

    assert [(h.get("x-priority"), h.get("x-click")) for h in heads] == [
        ("high", LINK),
        (None, LINK),
        ("low", "http://own.example/"),
    ]


ANSWERS = (("optics dirty", "Optik schmutzig"), ("Rührwerk, alt; läuft", "Rührwerk, alt; läuft"))


def test_ntfy_gets_a_button_for_each_likely_answer() -> None:
    """Each sends the page's form by itself, with the answer as it is kept, whatever language the button says it in.

    Letters of any alphabet are told in ASCII, as a header must be.

    The form of the buttons is that of ntfy's own description of its action buttons (from memory).
    """
    with serving(OK) as server:
        told = replace(message("n1", "a", "now"), answers=ANSWERS)
        assert Notifier({"a": f"ntfy://127.0.0.1:{server.port}/topic"}).send(told).state == "delivered"
    [head] = [line for line in server.requests[0].decode("ascii").split("\r\n") if line.startswith("X-Actions: ")]
    first, second = json.loads(head.removeprefix("X-Actions: "))

    assert (first["action"], first["label"], first["method"], first["url"]) == ("http", "Optik schmutzig", "POST", LINK)
    assert first["body"] == "finding=optics+dirty"
    assert dict(parse_qsl(second["body"])) == {"finding": "Rührwerk, alt; läuft"}


def test_a_long_worklist_comes_in_parts_without_waiting_between_them() -> None:
    """A text longer than a service takes is split, nothing of it is lost, and the id is at its end."""
    clock = Clock()
    words = " ".join(f"cow {n} not milked for 15 h;" for n in range(1000))
    with serving(OK) as server:
        begin_s = clock.steady()
        outcome = Notifier({"a": f"ntfy://127.0.0.1:{server.port}/topic"}).send(message("n5", "a", "round", body=words))
        took_s = clock.steady() - begin_s
    texts = [request.decode().partition("\r\n\r\n")[2] for request in server.requests]

    assert outcome.state == "delivered"
    assert len(texts) > 1
    assert took_s < 4
    assert all(f"cow {n} " in " ".join(texts) for n in range(0, 1000, 50))
    assert texts[-1].strip('"}').endswith("#n5")


@pytest.mark.parametrize(
    ("address", "receiver"),
    [
        ("https://discord.com/api/webhooks/4174216298/JHMHI8qBe7bk2ZwO5U711o3dV?priority=low", "discord"),
        ("https://ntfy.sh/topic", "ntfys"),
        ("TGRAM://123456789:abcdefg_hijklmnop/12315544", "tgram"),
        ("slack://T1JJ3T3L2/A1BRTD4JD/TIiajkdnlazkcOXrIdevi7FQ/#general/", "slack"),
        ("mailtos://u:p@farm.example", "mailtos"),
    ],
)
def test_an_address_is_understood_however_its_service_is_named(address: str, receiver: str) -> None:
    """By Apprise's own schema in any case, or as the web address that the service's makers give out; each is set up."""
    load()
    service = _service(address, message())

    assert check({"a": address}) == []
    assert service.url().partition("://")[0] == receiver
    assert (service.redirects, service.retry, service.overflow_mode.value) == (False, 0, "split")
    if receiver == "ntfys":
        assert (service.priority, service.click) == ("high", LINK)
    if receiver == "slack":
        assert [one.lstrip("#") for one in service.channels] == ["general"]


def test_only_what_apprise_offers_to_all_is_used() -> None:
    """Nothing is taken from inside of it: no module below it is imported, and nothing with an underscore is read."""
    for module in (notifier, services, replies):
        tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("apprise"):
                assert node.module == "apprise"
                assert {one.name for one in node.names} <= set(apprise.__all__)
            elif isinstance(node, ast.Import):
                assert not any(one.name.startswith("apprise") for one in node.names)
            elif isinstance(node, ast.Attribute) and node.attr.startswith("_") and not node.attr.startswith("__"):
                assert ast.unparse(node.value) in ("self", "cls"), f"{module.__name__}:{node.lineno}"
