"""Whether sentinel is at work is told by the worklist, by `status`, by `/health`, to systemd and by a ping."""

from __future__ import annotations

import contextlib
import io
import json
import socket
import sqlite3
import threading
from collections.abc import Iterator
from functools import partial
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import ClassVar, NamedTuple

import pytest
from faults.real_farm import CLOCK, expect, fail_milking, make_farm, running, until
from text_tables import moment
from whole.whole_farm import FEED, FEED_QUIET, Life, batch, setup_of

from sentinel.cli import main
from sentinel.edges import pulse
from sentinel.edges.alive import notify_systemd
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, Secrets, read_secrets
from sentinel.edges.store import Store
from sentinel.edges.store.history import last_known
from sentinel.edges.store.inputs import put_delivery
from sentinel.edges.store.outbox import all_notices
from sentinel.flow.model import DAY_S, Delivery, Export
from sentinel.flow.reasons import as_said
from sentinel.flow.tables import FarmFacts, Tables
from sentinel.runtime.engine import Engine
from sentinel.runtime.health.monitor import JUMP_SHOWN_S, PAUSES_S, SILENT_S, STALE_S, Monitor
from sentinel.runtime.health.status import BACKED_UP_AT
from sentinel.runtime.reading.export_reading import absorb
from sentinel.runtime.sending.outbox import Outbox

PEOPLE = "- person: Marit\n  channels: [phone]\n  worklist: yes\n"


class Said(NamedTuple):
    """What a command printed and how it ended."""

    code: int
    out: str


def status(folder: Path, *given: str) -> Said:
    """Run the command."""
    out, code = io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        try:
            main(["status", str(folder), *given])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Said(code, out.getvalue())


def line(said: Said, about: str) -> str:
    """The line about something."""
    return next(one for one in said.out.splitlines() if one[4:].startswith(about))


# --- the worklist ----------------------------------------------------------------------------------------


def lists(life: Life) -> list[str]:
    """The line on whether all is watched of every worklist."""
    found = [one for one in all_notices(life.store) if one.kind == "worklist"]
    return [one for notice in found for one in notice.body.split("\n") if "watched" in one]


def test_every_worklist_says_whether_all_is_watched() -> None:
    """All of it in the evening; in the morning after, with a quiet feed and a channel that fails, what is not."""
    life = Life(setup_of(FEED_QUIET, (FEED,), people=PEOPLE))
    life.at("16:00", batch("cow  start  box  outcome\n7  15:55  1  milked"))
    life.at("16:15")
    life.at("1d05:00", deliveries=(Delivery("900", "phone", moment("1d04:59"), "gave_up", as_said("no answer")),))
    life.at("1d06:15")

    assert lists(life) == [
        "Not everything is being watched: feed milkings was not read yet.",
        "All watched: 1 feed read, 1 rule decided, no channel failing.",
        "Not everything is being watched: feed milkings is quiet; channel phone does not deliver.",
    ]


# --- status ----------------------------------------------------------------------------------------------


def test_status_of_a_running_farm_has_ten_lines_and_ends_well(tmp_path: Path) -> None:
    """While the service holds the lock; and when it has ended, it says so and does not end well."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"}, "chores: {}\n")
    fail_milking(farm / "exports", "7", how="milked")
    with running(farm, tmp_path / "log"):
        expect(lambda: pulse.read(farm).get("looked_at") is not None, 30, "it has not looked")
        works = status(farm)
        told = json.loads(status(farm, "--json").out)
    ended = status(farm)

    assert len(works.out.splitlines()) == 10, works.out
    assert works.code == 0, works.out
    assert line(works, "service").startswith("ok  service    runs since")
    assert line(works, "feeds") == "ok  feeds      1 of 1 read"
    assert line(works, "rules") == "ok  rules      1 of 1 decided"
    assert line(works, "channels") == "ok  channels   1 of 1 in order"
    assert told["ok"] is True and told["disk"]["ok"] is True
    assert ended.code == 1
    assert line(ended, "service").startswith("!!  service    does not run; last seen")
    assert "127.0.0.1" not in works.out + json.dumps(told)


def test_status_names_the_channel_that_does_not_deliver_and_the_feed_that_is_not_read(tmp_path: Path) -> None:
    """Each line that is not as it should be says so."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/s3cret"})
    store = Store(farm / STORE_NAME)
    put_delivery(store, Delivery("900", "phone", 1_777_881_600, "gave_up", as_said("no answer")))
    store.close()
    said = status(farm)

    assert said.code == 1
    assert line(said, "channels").startswith("!!  channels   0 of 1 in order; phone does not deliver since")
    assert line(said, "feeds") == "!!  feeds      0 of 1 read; milkings was not read yet"
    assert "s3cret" not in said.out


def test_status_of_a_farm_on_which_nobody_is_to_be_told_says_so_as_no_fault(tmp_path: Path) -> None:
    """Who has no channels on purpose looks at the page."""
    farm = make_farm(tmp_path / "farm", {})
    (farm / "people.yaml").write_text("- person: Marit\n  channels: []\n", encoding="utf-8")
    Store(farm / STORE_NAME).close()

    assert line(status(farm), "channels") == (
        "ok  channels   none, as people.yaml has `channels: []`: nobody is told, alerts are on the page"
    )


def test_status_works_while_the_settings_are_broken(tmp_path: Path) -> None:
    """By the last good ones, and it does not end well."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"})
    fail_milking(farm / "exports", "7", how="milked")
    with running(farm, tmp_path / "log"):
        expect(lambda: pulse.read(farm).get("looked_at") is not None, 30, "it has not looked")
        (farm / "farm.yaml").write_text("name: [\n")
        said = status(farm)

    assert said.code == 1
    assert line(said, "feeds") == "ok  feeds      1 of 1 read"


def test_a_backup_is_remembered(tmp_path: Path) -> None:
    """How old the last copy is stands in the status."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"})
    Store(farm / STORE_NAME).close()
    before = line(status(farm), "backup")
    with pytest.raises(SystemExit, match="0"):
        main(["backup", str(tmp_path / "copy.db"), "--farm", str(farm)])
    after = line(status(farm), "backup")
    store = Store(farm / STORE_NAME)
    store.put_meta(BACKED_UP_AT, str(CLOCK.now() - 9 * DAY_S))
    store.close()

    assert "none was made yet" in before
    assert after.startswith("ok  backup     ") and after.endswith(" s old")
    assert line(status(farm), "backup") == "!!  backup     9 d old"


# --- systemd and the ping ----------------------------------------------------------------------------------


@contextlib.contextmanager
def systemd(path: Path) -> Iterator[list[str]]:
    """Listens as systemd does; what it was told, in order."""
    told: list[str] = []
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as gate:
        gate.bind(str(path))
        gate.settimeout(0.2)
        ended = threading.Event()

        def listen() -> None:
            while not ended.is_set():
                with contextlib.suppress(TimeoutError):
                    told.append(gate.recv(200).decode())

        listener = threading.Thread(target=listen)
        listener.start()
        try:
            yield told
        finally:
            ended.set()
            listener.join()


def test_systemd_is_told_that_it_is_ready_lives_and_stops(tmp_path: Path) -> None:
    """READY=1 first, WATCHDOG=1 again and again, STOPPING=1 last; by a real process."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"})
    with systemd(tmp_path / "gate") as told:
        with running(farm, tmp_path / "log", environment={"NOTIFY_SOCKET": str(tmp_path / "gate")}):
            expect(lambda: told.count("WATCHDOG=1") >= 3, 30, "the watchdog was not fed")
        expect(lambda: "STOPPING=1" in told, 5, "the end was not told")

    assert told[0] == "READY=1"


def test_without_systemd_nothing_is_sent() -> None:
    """Neither without an address nor to one where nobody listens."""
    assert not notify_systemd("READY=1", {})
    assert not notify_systemd("READY=1", {"NOTIFY_SOCKET": "/nowhere/at/all"})
    assert not notify_systemd("READY=1", {"NOTIFY_SOCKET": "@nobody-listens-here"})


class _Pinged(BaseHTTPRequestHandler):
    paths: ClassVar[list[str]] = []

    def do_GET(self) -> None:
        self.paths.append(self.path)
        self.send_response(204)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        pass


def test_an_address_is_pinged_after_a_whole_look_and_is_never_shown(tmp_path: Path) -> None:
    """It lies in secrets.yaml under the name that farm.yaml gives; neither log nor state nor status has it."""
    server = HTTPServer(("127.0.0.1", 0), _Pinged)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"}, "ping: outside\n")
    with (farm / "secrets.yaml").open("a") as secrets:
        secrets.write(f'pings:\n  outside: "http://127.0.0.1:{server.server_port}/t0ken"\n')
    try:
        with running(farm, tmp_path / "log"):
            expect(lambda: _Pinged.paths == ["/t0ken"], 20, "nobody was pinged")
            expect(lambda: pulse.read(farm).get("ping") is True, 20, "it is not known that the ping works")
            said = status(farm)
    finally:
        server.shutdown()
        server.server_close()

    assert line(said, "outside") == "ok  outside    the ping is answered"
    assert "t0ken" not in said.out + (tmp_path / "log").read_text() + (farm / pulse.NAME).read_text()


def test_a_ping_without_an_address_is_a_mistake_in_the_settings(tmp_path: Path) -> None:
    """`check` names it; an address that is none is named without being shown."""
    farm = make_farm(tmp_path / "farm", {"phone": "json://127.0.0.1:1/"}, "ping: outside\n")
    err = io.StringIO()
    with contextlib.redirect_stderr(err), pytest.raises(SystemExit):
        main(["check", str(farm)])
    (farm / "secrets.yaml").write_text('channels: {phone: "json://x/"}\npings: {outside: "file:///etc/t0ken"}\n')
    _, problems = read_secrets(farm, {})

    assert "ping: outside has no address under pings: in secrets.yaml" in err.getvalue()
    assert [str(one) for one in problems] == [
        "secrets.yaml:1:1: pings: outside is not an address to ping; it must begin with http:// or https://"
    ]
    assert read_secrets(tmp_path, {"SENTINEL_PING_OUT_SIDE": "https://x/"})[0].pings == {"out-side": "https://x/"}


# --- health ------------------------------------------------------------------------------------------------


def test_the_state_is_written_in_place_and_read_back(tmp_path: Path) -> None:
    """The file never grows, whatever the troubles are called."""
    assert pulse.put(tmp_path, {"troubles": [{"why": "x"}], "told": [{"key": "disk-full", "at": 3}]})
    assert pulse.read(tmp_path)["troubles"] == [{"why": "x"}]
    assert pulse.told_before(tmp_path) == [{"key": "disk-full", "at": 3}]
    assert pulse.put(tmp_path, {"troubles": [{"why": "x" * 99_999}], "looked_at": 7})
    assert pulse.read(tmp_path)["looked_at"] == 7
    assert (tmp_path / pulse.NAME).stat().st_size == pulse.LENGTH
    assert pulse.read(tmp_path / "nowhere") == {}


class Hands(Clock):
    """A clock whose hands are moved by hand, the steady seconds with them; and that may have jumped."""

    jumped_s = 0.0

    def __init__(self, at: int) -> None:
        self.at = at

    def _now(self) -> float:
        return float(self.at)

    def steady(self) -> float:
        return float(self.at)


def monitor(folder: Path) -> tuple[Monitor, Hands, Outbox]:
    """Whoever watches over a farm's service, at a moment."""
    setup, store, clock = setup_of(FEED_QUIET, (FEED,), people=PEOPLE), Store(None), Hands(moment("06:00"))
    outbox = Outbox(Engine(store, setup), clock, {}, lambda *_: "", lambda _: None)
    secrets = Secrets({})
    return Monitor(folder, clock, {}, outbox, lambda: (setup, secrets), partial(last_known, store)), clock, outbox


def test_health_is_not_ok_before_a_look_while_looks_fail_and_when_they_stop(tmp_path: Path) -> None:
    """Only whole looks that succeed, and lately, are health."""
    watched, clock, _ = monitor(tmp_path)
    begun = watched.health()["ok"]
    watched.looked(None)
    looked = watched.health()["ok"]
    pauses = [watched.failed(ValueError("no")) for _ in range(4)]
    failing = watched.health()
    watched.looked(None)
    again = watched.health()["ok"]
    clock.at += int(STALE_S) + 1

    assert (begun, looked, failing["ok"], again, watched.health()["ok"]) == (False, True, False, True, False)
    assert failing["troubles"] == ["looks"] and failing["failing_since"] == moment("06:00")
    assert pauses == [*PAUSES_S, PAUSES_S[-1]]


def test_a_folder_that_does_not_answer_is_a_trouble_while_it_is_waited_for(tmp_path: Path) -> None:
    """Seen from the thread that sends, as the one that looks waits; over with the first look that ends."""
    watched, clock, outbox = monitor(tmp_path)
    with watched.asking(tmp_path / "exports"):
        outbox.watch()
        soon = outbox.troubles.now()
        clock.at += int(SILENT_S)
        outbox.watch()
        [trouble] = outbox.troubles.now()
        left = pulse.read(tmp_path)
    watched.inbox_away("")
    clock.at += 2 * int(SILENT_S)
    outbox.watch()

    assert soon == ()
    assert (trouble.kind, trouble.facts) == (
        "inbox",
        {"why": f"{tmp_path / 'exports'} does not answer; still waiting for it"},
    )
    assert [one["kind"] for one in left["troubles"]] == ["inbox"]
    assert outbox.troubles.now() == ()


def test_a_store_that_cannot_be_written_is_named_for_what_it_is(tmp_path: Path) -> None:
    """A full disk, and a store that may only be read, are not the same trouble."""
    watched, _, outbox = monitor(tmp_path)
    full = sqlite3.OperationalError("database or disk is full")
    full.sqlite_errorcode = sqlite3.SQLITE_FULL
    watched.failed(full)
    watched.failed(sqlite3.OperationalError("attempt to write a readonly database"))
    there = [trouble.key for trouble in outbox.troubles.now()]
    watched.looked(None)

    assert there == ["disk-full", "store"]
    assert outbox.troubles.now() == ()


def test_a_rule_that_cannot_be_decided_is_a_trouble_until_it_can(tmp_path: Path) -> None:
    """The one that was last decided before the last look."""
    watched, _, outbox = monitor(tmp_path)
    watched.stepped_at = 100
    watched.looked(Tables(farm=FarmFacts(decided=(("box-quiet", 100), ("late-cow", 90)))))
    failing = outbox.troubles.sentences()
    watched.stepped_at = 200
    watched.looked(Tables(farm=FarmFacts(decided=(("box-quiet", 200), ("late-cow", 200)))))

    assert failing == ["The rule late-cow cannot be decided"]
    assert outbox.troubles.sentences() == []


def test_a_clock_that_jumps_is_shown_for_an_hour(tmp_path: Path) -> None:
    """By how much, whichever way."""
    watched, clock, outbox = monitor(tmp_path)
    watched.turn()
    clock.jumped_s = -7200.0
    clock.at += 10
    watched.turn()
    jumped = outbox.troubles.sentences()
    clock.at += int(JUMP_SHOWN_S) + 10
    watched.turn()

    assert jumped == ["The clock of the farm's computer jumped by 120 minutes"]
    assert outbox.troubles.sentences() == []


def test_a_sender_that_hangs_is_not_hidden_from_the_watchdog(tmp_path: Path) -> None:
    """The watchdog is fed only while both look and send."""
    watched, clock, outbox = monitor(tmp_path)
    with systemd(tmp_path / "gate") as told:
        fed = Monitor(
            tmp_path, clock, {"NOTIFY_SOCKET": str(tmp_path / "gate")}, outbox, watched._settings, lambda: None
        )
        outbox.begun = True
        fed.turn()
        expect(lambda: told == ["WATCHDOG=1"], 5, "it was not fed")
        clock.at += 1000
        fed.turn()
        assert not until(lambda: len(told) > 1, 1)


def test_an_export_that_cannot_be_stored_is_a_trouble_that_names_it(tmp_path: Path) -> None:
    """It is set aside, and whoever looks after the computer hears which it was and why."""
    setup, store = setup_of(FEED_QUIET, (FEED,), people=PEOPLE), Store(None)
    engine, (watched, _, outbox) = Engine(store, setup), monitor(tmp_path)
    text = b"Cow,Start,Box,Ended\n7,2026-05-04T05:00:00Z,1,milked\n"
    faults = [ValueError("odd")]

    def inside(_: object) -> None:
        if faults:
            raise faults.pop()

    export = Export("milkings_1.csv", text, moment("06:00"))
    failed = partial(watched.file_failed, export.name)
    given = absorb(engine, moment("06:00"), export, "", inside, failed)
    [trouble] = outbox.troubles.now()

    assert given is not None and not given.rows
    assert trouble.facts == {"file": "milkings_1.csv", "why": "ValueError: odd"}
