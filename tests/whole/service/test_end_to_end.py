"""The whole way with nothing pretended: a `sentinel run` process, files dropped by another process, a real HTTP
receiver through Apprise, answers by the link, kills in the middle, and the real clock.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import urllib.error
import urllib.parse
import urllib.request
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from sentinel.demo.phone import Message, Phone
from sentinel.demo.play import wait_until
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import all_notices

pytestmark = [
    pytest.mark.timeout(180),
    pytest.mark.skipif(os.name != "posix", reason="kills processes with POSIX signals"),
]

FARM = """\
name: Test farm
zone: UTC
boxes: ["1", "2"]
settle: 2 s
look_every: 2 s
page: {{port: {port}}}
"""
FEED = """\
feed: milkings
files: "*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M:%S"
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    outcome: {column: Outcome, words: {milked: milked, failed: failed}}
"""
RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} in 6 h"
  look_first: [Put the box out of operation first.]
  findings: [arm out of line, nothing found]
"""
COW_RULES = """\
- rule: cow-failures
  measure: failed_attachments
  per: cow
  options: {within: 24 h}
  raise_over: 0 failures
  urgency: now
  say: "Cow {cow}: {value} in 24 h"
"""
PEOPLE = """\
- person: Anna
  channels: [{channels}]
  next_after: never
  at_most: 500 per hour
"""

DROP = """\
import os, sys
text = sys.stdin.read()
with open(sys.argv[1] + ".part", "w") as file:
    file.write(text)
os.replace(sys.argv[1] + ".part", sys.argv[1])
"""
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
KEEP_DROPPING = """\
import json, os, sys, time
for name, text in json.load(sys.stdin):
    with open(name + ".part", "w") as file:
        file.write(text)
    os.replace(name + ".part", name)
    time.sleep(0.1)
"""


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        return int(found.getsockname()[1])


def make_farm(folder: Path, channels: dict[str, str], rules: str = RULES) -> Path:
    """A small farm folder whose one person has these channels."""
    for room in ("feeds", "rules", "exports"):
        (folder / room).mkdir(parents=True)
    (folder / "farm.yaml").write_text(FARM.format(port=free_port()))
    (folder / "people.yaml").write_text(PEOPLE.format(channels=", ".join(channels)))
    (folder / "feeds" / "milkings.yaml").write_text(FEED)
    (folder / "rules" / "boxes.yaml").write_text(rules)
    secrets = folder / "secrets.yaml"
    secrets.touch(mode=0o600)
    secrets.write_text("channels:\n" + "".join(f'  {name}: "{url}"\n' for name, url in channels.items()))
    return folder


def export(*visits: tuple[str, int, str, str]) -> str:
    """An export with these visits: cow, seconds ago, box, outcome."""
    now = Clock().now()
    lines = [
        f"{cow};{datetime.fromtimestamp(now - ago, UTC):%Y-%m-%d %H:%M:%S};{box};{how}" for cow, ago, box, how in visits
    ]
    return "\n".join(["Cow;Start;Box;Outcome", *lines, ""])


def failures(box: str, count: int, begin: int = 0) -> list[tuple[str, int, str, str]]:
    """So many failed visits at a box, of a different cow each (numbered from `begin`), a minute apart."""
    return [(str(begin + n), 60 * (count - n), box, "failed") for n in range(count)]


def by_another_process(program: str, text: str, *given: Path) -> None:
    """Run a small program of its own that writes files, and wait for it."""
    subprocess.run([sys.executable, "-c", program, *map(str, given)], input=text, text=True, check=True, timeout=60)


@contextmanager
def running(folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A `sentinel run` process; killed at the end if it is still there."""
    with (folder / "run.log").open("ab") as log:
        process = subprocess.Popen(
            [sys.executable, "-W", "error", "-m", "sentinel", "run", str(folder)], stdout=log, stderr=log
        )
        try:
            yield process
        finally:
            process.kill()
            process.wait(10)


def sentinel(*given: str | Path) -> str:
    """What a command prints; it must end well."""
    command = [sys.executable, "-m", "sentinel", *map(str, given)]
    result = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert result.returncode == 0, result.stderr
    return result.stdout


def history(folder: Path, *given: str) -> list[dict[str, Any]]:
    """The entries of `sentinel history --json`."""
    return [json.loads(line) for line in sentinel("history", folder, "--json", *given).splitlines()]


def entries(folder: Path, kind: str) -> list[dict[str, Any]]:
    """The log's entries of one kind, read beside the running process; none while there is no store."""
    if not (folder / STORE_NAME).is_file():
        return []
    store = Store(folder / STORE_NAME)
    try:
        return [{"alert": e.entry.alert, **e.entry.body} for e in log_entries(store, kind=kind)]
    finally:
        store.close()


def soon(what: Callable[[], bool], seconds: float = 40) -> None:
    """Wait for something that must come true."""
    assert wait_until(what, seconds, every_s=0.1), "it did not happen in time"


def post(link: str, **form: str) -> tuple[int, str]:
    """Send a form as a browser would; the status and the page."""
    data = urllib.parse.urlencode(form).encode()
    try:
        with urllib.request.urlopen(link, data=data, timeout=10) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.read().decode()


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


def test_killed_in_the_middle_nothing_is_lost_and_nothing_raised_twice(tmp_path: Path) -> None:
    """Killed three times, each time while the phone holds the line, and exports keep coming: every row is there,
    every alert was raised once, every notice arrived, and one that was cut off came again under its own id.
    """
    cows = [str(n) for n in range(40)]
    cut_off: list[str] = []
    process: subprocess.Popen[bytes] | None = None

    def kill_at(message: Message) -> None:
        if len(cut_off) < 3 and len(phone.messages) % 5 == 0 and process is not None:
            cut_off.append(message.notice)
            process.kill()
            process.wait(10)

    with Phone(show=kill_at) as phone:
        farm = make_farm(tmp_path / "farm", {"anna-phone": phone.url}, COW_RULES)
        files = [(str(farm / "exports" / f"{cow}.csv"), export((cow, 60, "1", "failed"))) for cow in cows]
        dropping = threading.Thread(target=by_another_process, args=(KEEP_DROPPING, json.dumps(files)))
        dropping.start()
        for _ in range(3):
            with running(farm) as process:
                assert process.wait(60) == -signal.SIGKILL
        with running(farm) as process:
            dropping.join(60)
            soon(lambda: len(entries(farm, "delivered")) == len(cows))
            process.send_signal(signal.SIGTERM)
            assert process.wait(20) == 0

    store = Store(farm / STORE_NAME)
    assert fetch(store, "select count(*) from visits")[0][0] == len(cows)
    assert Counter(alert.subject for alert in all_alerts(store)) == Counter(f"cow:{cow}" for cow in cows)
    raised = Counter(one.entry.subject for one in log_entries(store, kind="raised"))
    assert raised == Counter(f"cow:{cow}" for cow in cows)
    titles = {notice.id: notice.title for notice in all_notices(store)}
    store.verify()
    store.close()
    assert {message.notice: message.title for message in phone.messages} == titles
    assert len(titles) == len(cows)
    times = Counter(message.notice for message in phone.messages)
    assert [times[notice] for notice in cut_off] == [2, 2, 2]
    assert sum(times.values()) == len(cows) + 3


def test_an_answer_given_just_before_a_kill_is_kept(tmp_path: Path) -> None:
    """Whoever saw "Thank you" has answered, also when the process dies at that very moment."""
    with Phone() as phone:
        farm = make_farm(tmp_path / "farm", {"anna-phone": phone.url})
        (farm / "exports" / "a.csv").write_text(export(*failures("2", 6)))
        with running(farm) as process:
            soon(lambda: bool(phone.messages))
            status, _ = post(phone.messages[0].link, finding="arm out of line")
            process.kill()
        assert status == 200
        with running(farm):
            soon(lambda: len(entries(farm, "answer")) == 1)
        assert [a["person"] for a in history(farm, "--kind", "answer")] == ["Anna"]
        assert len(history(farm, "--kind", "raised")) == 1


@contextmanager
def hanging_server() -> Iterator[int]:
    """A server that takes connections and never says a word; its port."""
    held: list[socket.socket] = []
    with socket.create_server(("127.0.0.1", 0)) as server:

        def hold() -> None:
            while True:
                try:
                    held.append(server.accept()[0])
                except OSError:
                    return

        thread = threading.Thread(target=hold, daemon=True)
        thread.start()
        try:
            yield int(server.getsockname()[1])
        finally:
            server.shutdown(socket.SHUT_RDWR)
            thread.join(5)
            for connection in held:
                connection.close()


def test_a_hanging_and_a_refusing_channel_do_not_hold_up_the_good_one(tmp_path: Path) -> None:
    """Three notices reach the good phone while one channel never answers and one refuses; no address is shown."""
    secret = "tk-9f3c1e77"
    with Phone() as phone, hanging_server() as port:
        channels = {
            "anna-hanging": f"json://127.0.0.1:{port}/{secret}",
            "anna-refusing": f"json://127.0.0.1:{free_port()}/{secret}",
            "anna-phone": phone.url,
        }
        farm = make_farm(tmp_path / "farm", channels, COW_RULES)
        with running(farm) as process:
            soon(lambda: bool(entries(farm, "start")))
            clock = Clock()
            for cow in ("1", "2", "3"):
                before = clock.steady()
                by_another_process(DROP, export((cow, 60, "1", "failed")), farm / "exports" / f"{cow}.csv")
                soon(lambda cow=cow: any(m.title.startswith(f"Cow {cow}:") for m in phone.messages))  # type: ignore[misc]
                assert clock.steady() - before < 8
            soon(lambda: len(entries(farm, "delivered")) == 3)
            process.send_signal(signal.SIGTERM)
            assert process.wait(20) == 0
    assert {d["channel"] for d in entries(farm, "delivered")} == {"anna-phone"}
    store = Store(farm / STORE_NAME)
    waiting = Counter(
        row["channel"] for row in fetch(store, "select channel from deliveries where outcome = 'waiting'")
    )
    store.close()
    assert waiting == {"anna-hanging": 3, "anna-refusing": 3}
    assert secret not in (farm / "run.log").read_text()
    assert secret not in json.dumps(history(farm))


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
