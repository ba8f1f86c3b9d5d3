"""`once`: what there is is read and told, nothing twice, with a sum at the end."""

from __future__ import annotations

from pathlib import Path

from cli.typed import FEED, SETTLE, export, failures, sentinel

from sentinel.cli.base import open_farm
from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.runtime.service import Service

TANK = """\
feed: tank
files: "tank_*.jsonl"
form: json_lines
times: iso
tables:
  tank: {tank: tank, at: at, temperature_C: temperature}
"""


def test_once_reads_raises_and_reads_nothing_twice(told: Path) -> None:
    """The alert stands after the first run; a second run adds nothing to the store."""
    alerts = sentinel("alerts", told, "--json").records
    again = sentinel("once", told)

    assert [(a["rule"], a["subject"], a["urgency"]) for a in alerts] == [("box-failures", "box:2", "now")]
    assert alerts[0]["text"].startswith("Box 2: 6 failures to attach in 6 h")
    assert again.code == 0
    assert [h["body"]["rows"] for h in sentinel("history", told, "--kind", "read", "--json").records] == [7]
    assert len(sentinel("history", told, "--kind", "raised", "--json").records) == 1


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


def test_a_box_that_the_farm_does_not_name_is_told_once(farm: Path) -> None:
    """By what reads the files, with the first of its lines; `check` asks of it with what farm.yaml would then say."""
    heard: list[str] = []
    for name in ("a.csv", "b.csv"):
        (farm / "exports" / name).write_text(export(("7", 60, "2", "milked"), ("9", 50, "31", "milked")))
    with open_farm(farm) as yard:
        Service(yard, Clock(), {}, heard=lambda event: heard.append(str(event))).catch_up()

    strange = [one for one in heard if "among the farm's boxes" in one]
    assert strange == ["box 31 stands in a.csv:3 and not among the farm's boxes: see boxes in farm.yaml"]
    assert "if it is one, write boxes: [1, 2, 31], as the exports call them" in sentinel("check", farm).words


def test_once_waits_for_a_file_that_was_put_there_a_moment_ago(farm: Path) -> None:
    """`cp` and then `once`: it says that it waits, and the file is read by the same command."""
    (farm / "farm.yaml").write_text((farm / "farm.yaml").read_text().replace(SETTLE, "settle: 1 s\n"))
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100)))

    said = sentinel("once", farm, "--verbose")

    assert "waiting for a.csv: it was written to a moment ago" in said.words
    assert "read a.csv: 6 rows" in said.words


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
    assert lines[3] == "Open alerts: 2 (1 now, 1 round)."
    assert lines[4].split()[1:5] == ["now", "Box", "2:", "6"]
    assert lines[-1] == "Sent by operator-phone: 1 notice."
    assert len(lines) == 7
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


def test_what_was_set_aside_is_read_again_once_the_map_was_mended(farm: Path) -> None:
    """A word the map does not know is told with its row; mended it is there, and the alert ends."""
    visits = [*failures("2", 2, 100), ("7", 30, "1", "half"), ("8", 20, "1", "half")]
    (farm / "exports" / "a.csv").write_text(export(*visits))
    sentinel("once", farm)
    before = sentinel("alerts", farm)
    (farm / "feeds" / "milkings.yaml").write_text(FEED.replace("failed: failed", "failed: failed, half: incomplete"))
    mended = sentinel("once", farm)
    after = sentinel("alerts", farm)

    assert "Set aside: a.csv:4:" in before.words
    assert '"half"' in before.words
    assert "1 file read again, first a.csv" in mended.words
    assert "Set aside" not in after.words
    assert sentinel("alerts", farm, "--json").records == []
    read = sentinel("history", farm, "--kind", "read", "--json").records
    assert [(r["body"]["rows"], r["body"]["new"], r["body"]["corrected"]) for r in read] == [(4, 4, 0), (4, 0, 0)]


def test_once_again_reads_what_was_set_aside_of_a_file_that_was_too_large(farm: Path) -> None:
    """The bounds were raised: nothing in the file or its map has changed, so it is asked for."""
    settings = (farm / "farm.yaml").read_text()
    (farm / "farm.yaml").write_text(settings + "one_file: {size: 0.001 MB}\n")
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 40, 100)))
    sentinel("once", farm)
    assert "it is larger than" in sentinel("alerts", farm).words
    (farm / "farm.yaml").write_text(settings)
    again = sentinel("once", farm, "--again")

    assert "Reading again: a.csv." in again.words
    read = sentinel("history", farm, "--kind", "read", "--json").records
    assert [r["body"]["rows"] for r in read] == [0, 40]


def test_a_file_without_a_map_is_told_and_left_alone(farm: Path) -> None:
    """An export that no map names: `once` says how to draft one, once."""
    (farm / "exports" / "strange.txt").write_text("a,b\n1,2\n")

    first, second = sentinel("once", farm), sentinel("once", farm)

    assert "strange.txt: no feed map is for this file; `sentinel map` drafts one" in first.words
    assert "strange.txt" not in second.words


def test_what_is_to_be_asked_of_a_map_is_said(farm: Path) -> None:
    """As `check` says it, by the newest file; it keeps nothing from being read."""
    (farm / "feeds" / "tank.yaml").write_text(TANK + "pace: daily   # QUESTION: how often?\n")
    (farm / "exports" / "tank_1.jsonl").write_text(
        '{"tank": "1", "at": "2026-05-04T06:00:00Z", "temperature": 39}\n' * 9
    )
    said = sentinel("once", farm)

    assert said.code == 0
    assert "feeds/tank.yaml:7:17: an open question at pace: how often?" in said.err
    assert "write unit: degF" in said.err
