"""A `sentinel run` that is killed, and one whose channels hang or refuse: nothing is lost, and nobody waits for it."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from whole.service.small_farm import (
    COW_RULES,
    DROP,
    by_another_process,
    entries,
    export,
    failures,
    free_port,
    history,
    make_farm,
    post,
    running,
    soon,
)

from sentinel.demo.phone import Message, Phone
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

KEEP_DROPPING = """\
import json, os, sys, time
for name, text in json.load(sys.stdin):
    with open(name + ".part", "w") as file:
        file.write(text)
    os.replace(name + ".part", name)
    time.sleep(0.1)
"""


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
