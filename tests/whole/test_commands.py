"""The commands as a new user runs them: what they print, what they refuse and how they say so, and their exit codes."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import sqlite3
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from sentinel.cli import main
from sentinel.cli.base import open_farm
from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import save_alerts, standing_alerts
from sentinel.runtime.farm_folder import lock
from sentinel.runtime.service import Service

DEMO = Path(__file__).parents[2] / "demo_feeds"

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
TANK = """\
feed: tank
files: "tank_*.jsonl"
form: json_lines
times: iso
tables:
  tank: {tank: tank, at: at, temperature_C: temperature}
"""
SETTLE = "settle: 0 s\n"
"""In these tests nobody is still writing a file, but where a test says so."""

RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} to attach in 6 h ({visits} visits)"
  findings: [arm out of line, optics dirty, nothing found]
- rule: rows-set-aside
  measure: rows_set_aside
  raise_over: 0 rows
  urgency: round
  say: "{file}: {value} set aside. First reason: {reason}"
"""
"""Rules of these tests' own, so that tuning those that ship changes nothing here."""

WIRE = """\
- rule: wire-due
  measure: hours_since_chore
  raise_over: 1 s
  where: {chore: wire}
  urgency: round
  say: "{subject}: last done {value} ago"
"""


class Said(NamedTuple):
    """What a command printed and how it ended; `words` is everything without line breaks."""

    code: int
    out: str
    err: str

    @property
    def words(self) -> str:
        """Everything printed, without line breaks."""
        return " ".join(f"{self.out} {self.err}".split())

    @property
    def records(self) -> list[dict[str, Any]]:
        """The JSON objects it printed, one a line."""
        return [json.loads(line) for line in self.out.splitlines()]


def sentinel(*given: str | Path | int) -> Said:
    """Run one command."""
    out, err = io.StringIO(), io.StringIO()
    code = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main([str(one) for one in given])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Said(code, out.getvalue(), err.getvalue())


def export(*visits: tuple[str, int, str, str], head: str = "Cow;Start;Box;Outcome") -> str:
    """An export with these visits: cow, seconds ago, box, outcome."""
    now = Clock().now()
    lines = [f"{cow};{when(now - ago)};{box};{how}" for cow, ago, box, how in visits]
    return "\n".join([head, *lines, ""])


def when(at: int) -> str:
    """A moment as the exports write it."""
    return f"{datetime.fromtimestamp(at, UTC):%Y-%m-%d %H:%M:%S}"


def failures(box: str, count: int, begin: int) -> list[tuple[str, int, str, str]]:
    """So many failed visits at a box, of a different cow each, a minute apart."""
    return [(str(begin + n), 60 * (count - n), box, "failed") for n in range(count)]


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A farm folder as `init` makes it, with one feed map and two rules; nothing read yet."""
    folder = tmp_path / "farm"
    assert sentinel("init", folder, "--zone", "UTC").code == 0
    for shipped in (folder / "rules").glob("*.yaml"):
        shipped.unlink()
    (folder / "rules" / "boxes.yaml").write_text(RULES)
    (folder / "feeds" / "milkings.yaml").write_text(FEED)
    (folder / "farm.yaml").write_text((folder / "farm.yaml").read_text() + SETTLE)
    return folder


@pytest.fixture
def told(farm: Path) -> Path:
    """The same, after six cows were not attached at box 2 and `once` was run."""
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100), ("7", 30, "1", "milked")))
    said = sentinel("once", farm)
    assert said.code == 0, said.err
    return farm


def test_init_makes_a_folder_that_check_accepts_and_overwrites_nothing(tmp_path: Path) -> None:
    """Two runs: the second makes nothing new and keeps an edit; the secrets are the owner's alone."""
    folder = tmp_path / "farm"
    first = sentinel("init", folder, "--name", "Hillside")
    (folder / "people.yaml").write_text("- person: Anna\n  channels: [operator-phone]\n")
    second = sentinel("init", folder)

    assert (first.code, second.code) == (0, 0)
    assert f"sentinel once {folder}" in first.words
    assert "nothing new" in second.words
    assert "Anna" in (folder / "people.yaml").read_text()
    assert {p.name: p.stat().st_mode & 0o077 for p in (folder / "secrets.yaml", folder / "page.key")} == {
        "secrets.yaml": 0,
        "page.key": 0,
    }
    checked = sentinel("check", folder)
    assert (checked.code, "All good: 0 feed maps" in checked.words) == (0, True)


@pytest.mark.parametrize(
    "name", ["milkings_20260504_0100.csv", "boxlog_2026-05-04_0100.xlsx", "tank_*.jsonl", "herd_2026-05-04_0000.xlsx"]
)
def test_a_drafted_map_is_accepted_or_explained_by_check(farm: Path, name: str) -> None:
    """The draft of each of the demo's exports, saved under feeds/: check takes it, or names places in it."""
    sample = sorted((DEMO / "exports").glob(name))[0]
    drafted = sentinel("map", sample, "--farm", farm)
    (farm / "feeds" / "milkings.yaml").write_text(drafted.out)
    checked = sentinel("check", farm)

    assert drafted.code == 0
    assert drafted.out.count("#") > 3  # commented
    explained = all(line.startswith("feeds/milkings.yaml:") for line in checked.err.splitlines())
    assert checked.code == 0 or (checked.err and explained), checked.err


def test_a_draft_is_asked_of_a_file(farm: Path) -> None:
    """A name that is no file is refused in one sentence."""
    said = sentinel("map", farm / "nothing.csv", "--farm", farm)

    assert (said.code, said.err.strip()) == (2, f"{farm / 'nothing.csv'} is not a file")


def test_check_names_every_place_at_once(farm: Path) -> None:
    """Faults in four files: each is told with file, line and column and what would be right."""
    (farm / "farm.yaml").write_text('name: X\nzone: Europe/Dubln\nboxes: ["1"]\n')
    (farm / "people.yaml").write_text("- person: Anna\n  channels: [operator-fone]\n  hours: sometimes\n")
    (farm / "feeds" / "milkings.yaml").write_text(FEED.replace("outcome:", "outcom:"))
    rule = "- rule: {}\n  measure: hours_since_milkin{}\n  raise_over: 14\n  say: late\n"
    (farm / "rules" / "mine.yaml").write_text(rule.format("mine", "") + rule.format("yours", "g"))

    said = sentinel("check", farm)

    assert said.code == 1
    for part in (
        "farm.yaml:2:1: ",
        '"Europe/Dublin"',
        "people.yaml:3:3: ",
        "feeds/milkings.yaml:11:5: ",
        'did you mean "outcome"?',
        "rules/mine.yaml:2:3: ",
        'did you mean "hours_since_milking"?',
        "rules/mine.yaml:7:3: ",
    ):
        assert part in said.words, part
    assert "Traceback" not in said.err


def test_secrets_that_others_can_read_are_refused(farm: Path) -> None:
    """A secrets file with open rights is a problem that says how to mend it."""
    (farm / "secrets.yaml").chmod(0o644)

    said = sentinel("check", farm)

    assert said.code == 1
    assert "chmod 600 secrets.yaml" in said.words


def test_once_reads_raises_and_reads_nothing_twice(told: Path) -> None:
    """The alert stands after the first run; a second run adds nothing to the store."""
    alerts = sentinel("alerts", told, "--json").records
    again = sentinel("once", told)

    assert [(a["rule"], a["subject"], a["urgency"]) for a in alerts] == [("box-failures", "box:2", "now")]
    assert alerts[0]["text"].startswith("Box 2: 6 failures to attach in 6 h")
    assert again.code == 0
    assert [h["body"]["rows"] for h in sentinel("history", told, "--kind", "read", "--json").records] == [7]
    assert len(sentinel("history", told, "--kind", "raised", "--json").records) == 1


def test_an_address_that_cannot_be_used_is_told_without_showing_it(farm: Path) -> None:
    """`check` names the channel and says what is expected; the address itself is a secret."""
    (farm / "secrets.yaml").write_text("channels:\n  operator-phone: nonsense-s3cret\n")

    said = sentinel("check", farm)

    assert said.code == 1
    assert "secrets.yaml: operator-phone: its address cannot be understood" in said.words
    assert "s3cret" not in said.words


def test_check_says_when_links_open_on_this_machine_only(farm: Path) -> None:
    """Without an address of the page, or with one that every machine takes for itself; a note, not a fault."""
    plan = (farm / "farm.yaml").read_text()
    notes = {}
    for page in (
        "",
        "page: {host: 0.0.0.0}",
        'page: {address: "http://127.0.0.1:8710"}',
        'page: {address: "https://a.example"}',
    ):
        (farm / "farm.yaml").write_text(f"{plan}{page}\n")
        said = sentinel("check", farm)
        assert said.code == 0
        notes[page] = "links in notices open only on this machine" in said.words

    assert list(notes.values()) == [True, True, True, False]


def test_into_a_pipe_every_entry_of_the_history_is_one_line(told: Path) -> None:
    """However long its words are, so that it can be searched by line."""
    lines = sentinel("history", told, "--kind", "raised").out.splitlines()

    assert len(lines) == 2
    assert len(lines[1]) > 80


def test_a_file_taken_away_before_it_was_whole_is_told(farm: Path) -> None:
    """Nothing of it was read, and whoever dropped it should know."""
    heard: list[str] = []
    (farm / "farm.yaml").write_text((farm / "farm.yaml").read_text().replace(SETTLE, "settle: 60 s\n"))
    part = farm / "exports" / "a.csv"
    part.write_text(export(*failures("2", 6, 100)))
    with open_farm(farm) as yard:
        service = Service(yard, Clock(), {}, heard=heard.append)
        service.catch_up()
        part.rename(part.with_suffix(".part"))
        service.catch_up()

    assert heard == [
        "waiting for a.csv: it was written to a moment ago",
        "a.csv was taken away before it was complete; nothing of it was read",
    ]


def test_once_waits_for_a_file_that_was_put_there_a_moment_ago(farm: Path) -> None:
    """`cp` and then `once`: it says that it waits, and the file is read by the same command."""
    (farm / "farm.yaml").write_text((farm / "farm.yaml").read_text().replace(SETTLE, "settle: 1 s\n"))
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100)))

    said = sentinel("once", farm, "--verbose")

    assert "waiting for a.csv: it was written to a moment ago" in said.words
    assert "read a.csv: 6 rows" in said.words


def test_alerts_say_what_they_were_raised_with_where_it_differs(told: Path) -> None:
    """Beside the sentence, in words and for programs; of one that has eased also that."""
    store = Store(told / STORE_NAME)
    [alert] = [one for one in standing_alerts(store) if one.rule == "box-failures"]
    moved = {
        "raised_value": 7.0,
        "worst_value": 9.0,
        "course": "raised at 7 failures, now 6 failures",
        "eased": "7 failures",
    }
    save_alerts(store, [replace(alert, **moved)])
    store.close()
    said, [record] = sentinel("alerts", told), sentinel("alerts", told, "--json").records

    assert "raised at 7 failures, now 6 failures; was urgent, has eased since (bound 7 failures)" in said.words
    assert (record["raised_value"], record["worst_value"], record["eased"]) == (7.0, 9.0, True)


def test_once_sums_up_a_backlog_by_feed(farm: Path) -> None:
    """Files, rows, what was set aside and up to when all is known; then what stands and what was sent, a line each."""
    (farm / "feeds" / "tank.yaml").write_text(TANK)
    for number in range(40):
        visits = [
            ("7", 3600 + 60 * number, "1", "milked"),
            ("8", 30 + 60 * number, "1", "odd" if number < 2 else "milked"),
        ]
        (farm / "exports" / f"{number}.csv").write_text(export(*visits))
    (farm / "exports" / "late.csv").write_text(export(*failures("2", 6, 100)))
    with Phone() as phone:
        (farm / "secrets.yaml").write_text(f'channels:\n  operator-phone: "{phone.url}"\n')
        first, second = sentinel("once", farm), sentinel("once", farm)
    lines = first.out.splitlines()

    assert lines[0].split() == ["feed", "files", "rows", "set", "aside", "known", "until"]
    assert lines[1].split()[:4] == ["milkings", "41", "86", "2"]
    assert lines[2].split() == ["tank", "0", "0", "0", "nothing", "yet"]
    assert lines[3] == "What stands: 3 alerts (1 now, 2 round)."
    assert lines[4].split()[1:5] == ["now", "Box", "2:", "6"]
    assert lines[-1] == "Sent by operator-phone: 1 notice."
    assert len(lines) == 8
    assert "\x1b" not in first.out + first.err
    assert second.out.splitlines()[1].split()[:4] == ["milkings", "0", "0", "0"]
    assert second.out.splitlines()[-1] == "Nothing was to be sent."


def test_once_says_what_did_not_arrive_and_that_it_is_tried_again(farm: Path) -> None:
    """Nobody listens on the channel: it is named with the reason, its address is not."""
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100)))
    first, second = sentinel("once", farm), sentinel("once", farm)

    assert "Not sent by operator-phone: 1 notice: no connection, or no sensible answer; the next `once`" in first.words
    assert "127.0.0.1" not in first.words
    assert "what did not arrive before waits for its next try" in second.words


def test_with_verbose_once_has_a_line_for_each_export_and_each_alert(farm: Path) -> None:
    """As the log has them, and the sum after them; what was read is in the history in any case."""
    for number in range(3):
        (farm / "exports" / f"{number}.csv").write_text(export(*failures("2", 2 * number, 100 * number)))
    said = sentinel("once", farm, "--verbose")
    lines = said.out.splitlines()

    assert lines[:3] == ["read 0.csv: 0 rows", "read 1.csv: 2 rows", "read 2.csv: 4 rows"]
    assert lines[3].startswith("raised 1: Box 2: 6 failures")
    assert lines[5].split()[:4] == ["milkings", "3", "6", "0"]
    assert len(sentinel("history", farm, "--kind", "read", "--json").records) == 3


def test_a_folder_that_was_just_filled_is_waited_for_in_one_line(farm: Path) -> None:
    """Up to three files are named; of more the first one is, and how many there are besides."""
    (farm / "farm.yaml").write_text((farm / "farm.yaml").read_text().replace(SETTLE, "settle: 1 s\n"))
    for number in range(30):
        (farm / "exports" / f"{number:02}.csv").write_text(export(("7", 60 + number, "1", "milked")))
    lines = sentinel("once", farm).out.splitlines()

    assert lines[0] == "waiting for 00.csv and 29 more: it was written to a moment ago"
    assert lines[1].startswith("feed ")


def test_alerts_are_shown_to_people(told: Path) -> None:
    """The table names the box; the feed's known-until is told; without alerts it says so."""
    said = sentinel("alerts", told)

    assert "Box 2: 6 failures" in said.words
    assert "Known until: milkings" in said.words


def test_before_anything_was_read(farm: Path) -> None:
    """An untouched farm: commands say what to do instead of failing."""
    assert "Nothing has been read yet" in sentinel("alerts", farm).words
    said = sentinel("verify", farm / "exports")
    assert (said.code, "sentinel once" in said.err) == (2, True)
    said = sentinel("alerts", farm.parent / "elsewhere")
    assert (said.code, "sentinel init" in said.err) == (2, True)


def test_an_answer_with_a_misspelt_finding_gets_a_suggestion(told: Path) -> None:
    """Wrong finding, alert and person are each refused with what would be right, and nothing is recorded."""
    wrong_finding = sentinel("answer", 1, "--by", "Operator", "--finding", "arm out of lin", "--farm", told)
    wrong_alert = sentinel("answer", 9, "--by", "Operator", "--farm", told)
    wrong_person = sentinel("answer", 1, "--by", "Operater", "--farm", told)

    assert (wrong_finding.code, wrong_alert.code, wrong_person.code) == (2, 2, 2)
    assert 'did you mean "arm out of line"?' in wrong_finding.words
    assert "optics dirty" in wrong_finding.words
    assert wrong_alert.err.strip() == "there is no alert 9; standing now: 1"
    assert 'did you mean "Operator"?' in wrong_person.words
    assert sentinel("history", told, "--kind", "answer", "--json").records == []


def test_an_answer_is_on_the_alert_and_in_the_log(told: Path) -> None:
    """Who, what was found, the note; the person's name as people.yaml writes it."""
    said = sentinel(
        "answer", 1, "--by", "operator", "--finding", "arm out of line", "--note", "set back", "--farm", told
    )

    assert (said.code, said.out) == (0, "Answered 1: Box 2: 6 failures to attach in 6 h (6 visits).\n")
    alert = sentinel("alerts", told, "--json").records[0]
    assert (alert["answered_by"], alert["finding"], alert["note"]) == ("Operator", "arm out of line", "set back")
    entry = sentinel("history", told, "--kind", "answer", "--json").records[0]
    assert (entry["person"], entry["alert"], entry["body"]["finding"]) == ("Operator", 1, "arm out of line")


def test_while_the_service_works_an_answer_is_left_for_it(told: Path) -> None:
    """Another sentinel holds the folder: `once` is refused in a sentence, `answer` leaves word and says so."""
    taken = lock(told)
    refused = sentinel("once", told)
    left = sentinel("answer", 1, "--by", "Operator", "--farm", told)
    taken.release()

    assert (refused.code, "another sentinel is working" in refused.err) == (2, True)
    assert (left.code, "running service takes it" in left.words) == (0, True)
    assert sentinel("once", told).code == 0
    assert len(sentinel("history", told, "--kind", "answer", "--json").records) == 1


def test_a_chore_that_is_done_ends_its_alert(farm: Path) -> None:
    """Overdue, recorded, over; an unknown chore or a missing place is refused with what would be right."""
    text = (farm / "farm.yaml").read_text().replace(SETTLE, "  wire: {places: [east, west]}\n" + SETTLE)
    (farm / "farm.yaml").write_text(text)
    (farm / "rules" / "wire.yaml").write_text(WIRE)
    sentinel("once", farm)
    threading.Event().wait(2.1)
    sentinel("once", farm)

    unknown = sentinel("done", "wires", "--place", "east", "--farm", farm)
    nowhere = sentinel("done", "wire", "--farm", farm)
    said = sentinel("done", "wire", "--place", "east", "--note", "moved", "--farm", farm)

    assert (unknown.code, 'did you mean "wire"?' in unknown.words) == (2, True)
    assert (nowhere.code, nowhere.err.strip()) == (2, "say where wire was done: east, west")
    assert (said.code, said.out) == (0, "Recorded: wire east done.\n")
    over = sentinel("history", farm, "--kind", "over", "--json").records
    assert [entry["subject"] for entry in over] == ["chore:wire/east"]
    assert [a["subject"] for a in sentinel("alerts", farm, "--json").records] == ["chore:wire/west"]


@pytest.fixture
def log(told: Path) -> Path:
    """A farm with a small history: an alert, an answer whose note would be a formula, and a second box's alert."""
    sentinel("answer", 1, "--by", "Operator", "--finding", "optics dirty", "--note", "=2+5", "--farm", told)
    (told / "exports" / "b.csv").write_text(export(*failures("1", 7, 200)))
    sentinel("once", told)
    return told


def test_history_is_filtered_by_every_option(log: Path) -> None:
    """Each filter gives exactly the entries it names; together they narrow."""

    def found(*given: str | int) -> list[dict[str, Any]]:
        return sentinel("history", log, "--json", *given).records

    every = found()
    assert [entry["number"] for entry in every] == list(range(1, len(every) + 1))
    assert {e["rule"] for e in found("--rule", "box-failures")} == {"box-failures"}
    assert {e["subject"] for e in found("--subject", "box:1")} == {"box:1"}
    assert [e["kind"] for e in found("--subject", "box:1", "--kind", "raised")] == ["raised"]
    assert {e["person"] for e in found("--person", "Operator")} == {"Operator"}
    assert [e["kind"] for e in found("--alert", 1)][:2] == ["raised", "notice"]
    assert "answer" in [e["kind"] for e in found("--alert", 1)]
    assert found("--since", "1 h") == every
    assert found("--until", "1 h") == []
    today = f"{datetime.fromtimestamp(Clock().now(), UTC):%Y-%m-%d}"
    assert found("--since", "2020-01-01", "--until", today) == every
    assert found("--until", "2020-01-01 12:00") == []
    wrong = sentinel("history", log, "--since", "yesterday-ish")
    assert (wrong.code, '"2026-05-13 14:00"' in wrong.words) == (2, True)


def test_history_as_csv_is_safe_to_open_in_a_spreadsheet(log: Path) -> None:
    """One line per entry with the table's columns; no cell begins as a formula."""
    rows = list(csv.reader(io.StringIO(sentinel("history", log, "--csv").out)))

    assert rows[0] == ["number", "time", "kind", "alert", "rule", "subject", "person", "what"]
    assert len(rows) - 1 == len(sentinel("history", log, "--json").records)
    assert all(len(row) == len(rows[0]) for row in rows)
    assert [cell for row in rows for cell in row if cell[:1] in tuple("=+-@\t\r")] == []
    assert any("=2+5" in row[-1] for row in rows)
    (log / "people.yaml").write_text("- person: '=1+1'\n  channels: [operator-phone]\n")
    sentinel("answer", 1, "--by", "=1+1", "--farm", log)
    rows = list(csv.reader(io.StringIO(sentinel("history", log, "--csv", "--kind", "answer").out)))
    assert rows[-1][-2] == "'=1+1"


def test_history_is_a_table_for_people(log: Path) -> None:
    """The table tells the raise, the notice and the answer in words."""
    words = sentinel("history", log).words

    for part in ("raised", "box 2", "answer", "optics dirty"):
        assert part in words


def test_replay_prints_one_object_a_line(log: Path) -> None:
    """The shape of a replayed alert, in both readings of history; times in UTC to the second."""
    bulk, arrived = (sentinel("replay", log, "--json", *how).records for how in ((), ("--as-arrived",)))

    for found in (bulk, arrived):
        assert {(one["rule"], one["subject"]) for one in found} == {
            ("box-failures", "box:1"),
            ("box-failures", "box:2"),
        }
        for one in found:
            assert list(one) == ["rule", "subject", "raised_at", "over_at", "urgency", "value", "suspects"]
            assert datetime.strptime(one["raised_at"], "%Y-%m-%dT%H:%M:%SZ")  # noqa: DTZ007
            assert (one["over_at"], one["urgency"], one["suspects"]) == (None, "now", [])
    live = {a["subject"]: a["raised_at"] for a in sentinel("alerts", log, "--json").records}
    assert {one["subject"]: one["raised_at"] for one in arrived} == live


def test_replay_tries_another_threshold(log: Path) -> None:
    """With the bound at six failures only box 1 is left; the file keeps its own bound; a wrong setting is refused."""
    tried = sentinel("replay", log, "--json", "--set", "box-failures.raise_over=6 failures").records
    shown = sentinel("replay", log, "--set", "box-failures.raise_over=6 failures")
    wrong = sentinel("replay", log, "--set", "box-failures.raise_ovr=6 failures")
    nothing = sentinel("replay", log, "--set", "box-failures")

    assert [one["subject"] for one in tried] == ["box:1"]
    assert "before" in shown.words
    assert len(sentinel("replay", log, "--json").records) == 2
    assert (wrong.code, 'did you mean "raise_over"?' in wrong.words) == (1, True)
    assert (nothing.code, "RULE.FIELD=VALUE" in nothing.words) == (1, True)


def test_replay_of_a_folder_that_was_never_run(farm: Path) -> None:
    """Everything in the inbox counts as if it had been on time; nothing is stored."""
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100)))

    found = sentinel("replay", farm, "--json").records

    assert [one["subject"] for one in found] == ["box:2"]
    assert not (farm / STORE_NAME).exists()


@contextlib.contextmanager
def tampering(farm: Path) -> Iterator[sqlite3.Connection]:
    """The store, opened by somebody else's hand; what guards the log within the file is taken off first."""
    conn = sqlite3.connect(farm / STORE_NAME)
    for (name,) in conn.execute("select name from sqlite_master where type = 'trigger'").fetchall():
        conn.execute(f"drop trigger {name}")
    yield conn
    conn.commit()
    conn.close()


@pytest.mark.parametrize(
    "change",
    [
        "update log set body = replace(body, 'optics dirty', 'nothing found') where kind = 'answer'",
        "update log set at = at - 60 where kind = 'raised' and seq = (select min(seq) from log where kind = 'raised')",
        "delete from log where kind = 'answer'",
        "update log set person = 'Somebody' where kind = 'answer'",
    ],
)
def test_verify_finds_what_was_changed(log: Path, change: str) -> None:
    """A log that was changed by hand: exit 2 and a sentence that names the entry; before, all is well."""
    assert "The log is whole" in sentinel("verify", log).words
    with tampering(log) as conn:
        assert conn.execute(change).rowcount == 1

    said = sentinel("verify", log)

    assert said.code == 2
    assert "the log is not whole" in said.err
    assert any(character.isdecimal() for character in said.err.partition("not whole")[2])
    assert "Traceback" not in said.err


def test_a_backup_is_a_whole_store_and_overwrites_nothing(log: Path) -> None:
    """The copy holds the same log and verifies; a second backup to the same name is refused."""
    target = log.parent / "copy" / STORE_NAME
    target.parent.mkdir()
    first = sentinel("backup", target, "--farm", log)
    second = sentinel("backup", target, "--farm", log)

    assert (first.code, second.code) == (0, 2)
    assert "is there already" in second.err
    assert sentinel("verify", target.parent).out == sentinel("verify", log).out


def test_a_backup_takes_the_photos_along(log: Path) -> None:
    """Whole ones only, into a folder beside the copy; a folder that is there already is left as it is."""
    (log / "photos").mkdir()
    (log / "photos" / f"{'a' * 32}.jpg").write_bytes(b"a photo")
    (log / "photos" / f"{'b' * 32}.jpg.part").write_bytes(b"half a ph")
    target = log.parent / "with-photos.db"

    first = sentinel("backup", target, "--farm", log)
    target.unlink()
    second = sentinel("backup", target, "--farm", log)

    assert (first.code, second.code) == (0, 2)
    assert [path.name for path in target.with_suffix(".photos").iterdir()] == [f"{'a' * 32}.jpg"]
    assert "Copied 1 photo to" in first.words
    assert "with-photos.photos is there already" in second.words
    assert not target.exists()


def test_once_again_reads_what_was_set_aside_after_the_map_was_mended(farm: Path) -> None:
    """A word the map does not know is told with its row; mended and read again it is there, and the alert ends."""
    visits = [*failures("2", 2, 100), ("7", 30, "1", "half"), ("8", 20, "1", "half")]
    (farm / "exports" / "a.csv").write_text(export(*visits))
    sentinel("once", farm)
    before = sentinel("alerts", farm)
    (farm / "feeds" / "milkings.yaml").write_text(FEED.replace("failed: failed", "failed: failed, half: incomplete"))
    untouched = sentinel("once", farm)
    again = sentinel("once", farm, "--again")
    after = sentinel("alerts", farm)

    assert "Set aside: a.csv:4:" in before.words
    assert '"half"' in before.words
    assert untouched.out.splitlines()[1].split()[:3] == ["milkings", "0", "0"]
    assert "Reading again: a.csv." in again.words
    assert "Set aside" not in after.words
    assert sentinel("alerts", farm, "--json").records == []
    read = sentinel("history", farm, "--kind", "read", "--json").records
    assert [(r["body"]["rows"], r["body"]["new"], r["body"]["corrected"]) for r in read] == [(4, 4, 0), (4, 0, 0)]


def test_a_file_without_a_map_is_told_and_left_alone(farm: Path) -> None:
    """An export that no map names: `once` says how to draft one, once."""
    (farm / "exports" / "strange.txt").write_text("a,b\n1,2\n")

    first, second = sentinel("once", farm), sentinel("once", farm)

    assert "strange.txt: no feed map is for this file; `sentinel map` drafts one" in first.words
    assert "strange.txt" not in second.words


def test_settings_with_a_fault_end_a_command_with_the_place(told: Path) -> None:
    """A broken rules file: alerts and once name the place and exit 1; verify works all the same."""
    (told / "rules" / "mine.yaml").write_text("- rule: [\n")

    for command in ("alerts", "once"):
        said = sentinel(command, told)
        assert said.code == 1
        assert "rules/mine.yaml:" in said.err
    assert sentinel("verify", told).code == 0


def test_a_store_that_another_process_holds_is_no_fault_of_sentinels_own(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is said as what it is, and that nothing was kept."""
    holder, other = (sqlite3.connect("file:held?mode=memory&cache=shared", uri=True, timeout=0) for _ in range(2))
    holder.execute("create table one (x)")
    holder.execute("begin immediate")

    def held(given: object) -> None:
        other.execute("begin immediate")

    monkeypatch.setattr("sentinel.cli.app", held)
    with pytest.raises(SystemExit) as ended:
        main(["once"])
    holder.close()
    other.close()

    assert ended.value.code == 2
    assert "another program is writing to the store, so nothing was saved" in capsys.readouterr().err
