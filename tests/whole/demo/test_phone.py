"""The phone stand-in: takes a real post, keeps it, shows it as a phone would."""

from __future__ import annotations

import io
import json
import threading
import urllib.error
import urllib.request

import pytest
from rich.console import Console

from sentinel.demo.phone import Message, Phone, as_phone, read_message, show_on

MONDAY = 1_772_435_400  # 2026-03-02 07:10 UTC


def post(phone: Phone, content: bytes, path: str = "") -> int:
    """Post bytes to the phone; the status it answers."""
    request = urllib.request.Request(f"http://127.0.0.1:{phone.port}/{path}", data=content, method="POST")
    try:
        with urllib.request.urlopen(request, timeout=5) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        error.close()
        return error.code


def posted(text: str, title: str = "Box 2", kind: str = "info") -> bytes:
    """A message as a json:// channel posts it."""
    return json.dumps({"version": "1.0", "title": title, "message": text, "attachments": [], "type": kind}).encode()


def test_a_posted_message_is_kept_and_shown_as_it_arrives() -> None:
    """Title, text, link and id are told apart; the callback gets the same message; time and person are stamped."""
    shown: list[Message] = []
    with Phone(show=shown.append, now=lambda: MONDAY) as phone:
        status = post(
            phone, posted("9 of 20 failed\nLook at the arm\nhttp://farm.example/a/x1\n#n17", kind="warning"), "anna"
        )

        assert status == 200
        assert phone.wait_for(1, 5)
    expected = Message(
        MONDAY, "anna", "Box 2", "9 of 20 failed\nLook at the arm", "http://farm.example/a/x1", "n17", "warning"
    )
    assert phone.messages == shown == [expected]


def test_a_message_without_link_or_id_keeps_its_text_whole() -> None:
    """A last line that merely has a link or a # in it stays text."""
    text = "see http://farm.example\nfilter #2 is due"

    assert read_message(posted(text), "", MONDAY) == Message(MONDAY, "", "Box 2", text)
    assert read_message(posted("#n17"), "", MONDAY).notice == "n17"


@pytest.mark.parametrize("content", [b"", b"no json", b"[1]", b'{"title": "only"}', b"\xff\xfe"])
def test_nonsense_is_refused_and_the_phone_goes_on(content: bytes) -> None:
    """What is not a message is answered with 400 and not kept; the next message arrives."""
    with Phone() as phone:
        assert post(phone, content) == 400
        assert post(phone, posted("all well")) == 200

    assert [m.body for m in phone.messages] == ["all well"]


def test_many_messages_at_once_are_all_kept() -> None:
    """Twenty senders at the same moment: twenty messages."""
    with Phone() as phone:
        senders = [threading.Thread(target=post, args=(phone, posted(str(number)))) for number in range(20)]
        for sender in senders:
            sender.start()
        for sender in senders:
            sender.join(10)

    assert sorted(int(m.body) for m in phone.messages) == list(range(20))


def test_it_is_shown_narrow_with_local_time_and_without_reading_marks_into_the_text() -> None:
    """The panel has the farm's time and every word; square brackets of a text are no colours."""
    message = Message(
        MONDAY, "anna", "Box 2: [bold]9 of 20", "look [red]first", "http://farm.example/a/x1", "n17", "warning"
    )
    console = Console(file=io.StringIO(), width=100)
    show_on(console, zone="Europe/Vienna")(message)
    lines = console.file.getvalue().splitlines()  # type: ignore[attr-defined]
    text = "\n".join(lines)

    assert max(len(line) for line in lines) == 44
    for part in ("Mon 08:10", "anna", "Box 2: [bold]9 of 20", "look [red]first", "http://farm.example/a/x1", "#n17"):
        assert part in text
    assert as_phone(message, width=30).width == 30
