"""The whole way with nothing pretended: a `sentinel run` process, files dropped by another process, a real HTTP
receiver through Apprise, answers by the link and by a push's button, edits of rules, and the real clock.
"""

from __future__ import annotations

import json
import os
import signal
import threading
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from whole.service.small_farm import (
    DROP,
    RULES,
    by_another_process,
    entries,
    export,
    failures,
    history,
    make_farm,
    post,
    running,
    sentinel,
    soon,
)

from sentinel.demo.phone import Phone

pytestmark = [
    pytest.mark.timeout(180),
    pytest.mark.skipif(os.name != "posix", reason="kills processes with POSIX signals"),
]

WRITE_SLOWLY = """\
import sys, time
text = sys.stdin.read()
step = len(text) // 8
with open(sys.argv[1], "w") as file:
    for begin in range(0, len(text), step):
        file.write(text[begin:begin + step])
        file.flush()
        time.sleep(0.2)
"""


def test_from_an_export_to_the_phone_and_back(tmp_path: Path) -> None:
    """A renamed-in export rings the phone; looking at the link changes nothing, answering is in the log; of a slowly
    written export no row is lost or cut; SIGTERM ends the process with an entry.
    """
    with Phone() as phone:
        farm = make_farm(tmp_path / "farm", {"anna-phone": phone.url_for("anna")})
        with running(farm) as process:
            soon(lambda: bool(entries(farm, "start")))
            by_another_process(DROP, export(*failures("2", 6)), farm / "exports" / "first.csv")
            soon(lambda: bool(phone.messages))
            notice = phone.messages[0]
            assert notice.body.startswith("Box 2: 6 failures in 6 h.\nSince ")
            assert "Put the box out of operation first." in notice.body

            with urllib.request.urlopen(notice.link, timeout=10) as page:
                assert "Arm out of line" in page.read().decode()
            assert entries(farm, "answer") == []
            status, page_text = post(notice.link, finding="arm out of line", note="=SUM(A1)")
            assert (status, "Thank you, Anna" in page_text) == (200, True)
            assert post(notice.link[:-3] + "abc", finding="arm out of line")[0] == 404
            assert post(notice.link, finding="made up")[0] == 400
            soon(lambda: len(entries(farm, "answer")) == 1)

            by_another_process(WRITE_SLOWLY, export(*failures("1", 40, begin=50)), farm / "exports" / "slow.csv")
            soon(lambda: len(phone.messages) == 2)
            assert phone.messages[1].title.startswith("Box 1: ")
            soon(lambda: sum(r["new"] for r in entries(farm, "read")) == 6 + 40)

            process.send_signal(signal.SIGTERM)
            assert process.wait(20) == 0
        answered = history(farm, "--kind", "answer")
        assert [(a["person"], a["body"]["finding"], a["body"]["note"]) for a in answered] == [
            ("Anna", "arm out of line", "=SUM(A1)")
        ]
        assert entries(farm, "set-aside") == entries(farm, "correction") == []
        assert history(farm)[-1]["kind"] == "stop"
        assert "The log is whole" in sentinel("verify", farm)
        assert "Traceback" not in (farm / "run.log").read_text()


WRITE = """\
import sys
text = sys.stdin.read()
with open(sys.argv[1], "w") as file:
    file.write(text)
"""
MOVE_IN = """\
import os, sys
aside = os.path.join(os.path.dirname(os.path.dirname(sys.argv[1])), "aside")
with open(aside, "w") as file:
    file.write(sys.stdin.read())
os.replace(aside, sys.argv[1])
"""


def test_a_closed_export_and_one_moved_in_ring_without_a_wait(tmp_path: Path) -> None:
    """With a quiet wait of ten minutes: the phone rings all the same, as their writers let go of them; a start on a
    backlog says in a table what was read, not file by file.
    """
    with Phone() as phone:
        farm = make_farm(tmp_path / "farm", {"anna-phone": phone.url_for("anna")})
        (farm / "farm.yaml").write_text((farm / "farm.yaml").read_text().replace("settle: 2 s", "settle: 10 min"))
        for number in range(5):
            old = farm / "exports" / f"old_{number}.csv"
            old.write_text(export((str(number), 7200 + number, "1", "milked")))
            os.utime(old, (1_000_000_000, 1_000_000_000))
        with running(farm) as process:
            soon(lambda: bool(entries(farm, "start")))
            by_another_process(WRITE, export(*failures("2", 6)), farm / "exports" / "closed.csv")
            soon(lambda: len(phone.messages) == 1)
            by_another_process(MOVE_IN, export(*failures("1", 6, begin=50)), farm / "exports" / "moved.csv")
            soon(lambda: len(phone.messages) == 2)
            process.send_signal(signal.SIGTERM)
            assert process.wait(20) == 0
        said = (farm / "run.log").read_text()

    assert [message.title.partition(":")[0] for message in phone.messages] == ["Box 2", "Box 1"]
    assert [line.split()[:4] for line in said.splitlines() if line.startswith("milkings ")] == [
        ["milkings", "5", "5", "0"]
    ]
    assert "No open alerts.\nOn the way to people: 0 notices." in said
    assert "read old_" not in said
    assert "read closed.csv: 6 rows" in said


@contextmanager
def push_service() -> Iterator[tuple[int, list[list[dict[str, Any]]]]]:
    """A receiver of pushes on a port, and the buttons that each of them brought."""
    brought: list[list[dict[str, Any]]] = []

    class Receiver(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            self.rfile.read(int(self.headers["Content-Length"]))
            brought.append(json.loads(self.headers["X-Actions"]))
            self.send_response(200)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, format: str, *given: Any) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Receiver) as server:
        thread = threading.Thread(target=server.serve_forever, args=(0.05,))
        thread.start()
        yield server.server_address[1], brought
        server.shutdown()
        thread.join(10)


def press(button: dict[str, Any]) -> int:
    """Do what a push app does when its button is pressed: send what the button says, knowing nothing else."""
    assert button["action"] == "http"
    content = button["body"].encode()
    request = urllib.request.Request(button["url"], content, button["headers"], method=button["method"])
    with urllib.request.urlopen(request, timeout=10) as answer:
        return int(answer.status)


def test_the_two_buttons_of_a_push_answer_by_themselves_and_once(tmp_path: Path) -> None:
    """As they arrived at the push service: one press is one answer in the log, and a second press changes nothing."""
    with push_service() as (port, brought):
        farm = make_farm(tmp_path / "farm", {"anna-push": f"ntfy://127.0.0.1:{port}/topic"})
        (farm / "exports" / "a.csv").write_text(export(*failures("2", 6)))
        with running(farm) as process:
            soon(lambda: bool(brought))
            first, second = brought[0]
            assert [first["label"], second["label"]] == ["Arm out of line", "Nothing found"]
            assert press(second) == 200
            soon(lambda: len(entries(farm, "answer")) == 1)
            assert press(second) == 200
            process.send_signal(signal.SIGTERM)
            assert process.wait(20) == 0
    [answer] = history(farm, "--kind", "answer")

    assert (answer["person"], answer["alert"], answer["body"]["finding"]) == ("Anna", 1, "nothing found")
    assert [alert["answered_by"] for alert in map(json.loads, sentinel("alerts", farm, "--json").splitlines())] == [
        "Anna"
    ]


def test_a_broken_edit_is_said_once_and_a_good_one_acts_at_once(tmp_path: Path) -> None:
    """The last good rules stay in use while an edit is broken; a lower bound raises at once, a higher one ends the
    alert at once, and the log says which edit did it.
    """
    with Phone() as phone:
        farm = make_farm(tmp_path / "farm", {"anna-phone": phone.url})
        rules = farm / "rules" / "boxes.yaml"
        with running(farm) as process:
            by_another_process(DROP, export(*failures("1", 6), *failures("2", 3, begin=20)), farm / "exports" / "a.csv")
            soon(lambda: len(entries(farm, "raised")) == 1)

            rules.write_text("")  # as an editor saves: emptied, then filled; no alert ends because of it
            threading.Event().wait(0.3)
            rules.write_text(RULES.replace("raise_over", "raise_ovr"))
            soon(lambda: bool(entries(farm, "rules-broken")))
            by_another_process(DROP, export(*failures("2", 6, begin=50)), farm / "exports" / "b.csv")
            soon(lambda: len(entries(farm, "raised")) == 2)  # by the last good rules
            rules.touch()
            soon(lambda: "b.csv" in (farm / "run.log").read_text())

            rules.write_text(RULES.replace("5 failures", "7 failures"))
            soon(lambda: len(entries(farm, "over")) == 1)
            rules.write_text(RULES.replace("5 failures", "4 failures"))
            soon(lambda: len(entries(farm, "raised")) + len(entries(farm, "again")) == 3)
            process.send_signal(signal.SIGTERM)
            assert process.wait(20) == 0

    broken = entries(farm, "rules-broken")
    assert len(broken) == 1
    assert 'rules/boxes.yaml:5:3: raise_ovr: unknown key (did you mean "raise_over"?)' in broken[0]["said"]
    over = entries(farm, "over")[0]
    assert "raise_over 5 → 7 failures" in over["because"]
    assert next(e for e in entries(farm, "raised") if "because" in e)["because"].count("7 → 4 failures") == 1
    assert len(entries(farm, "rules-changed")) == 2
