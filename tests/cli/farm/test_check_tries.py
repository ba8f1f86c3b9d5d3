"""`check` tries each map on the newest exports: what they give, and what is to be asked, each with its line."""

from __future__ import annotations

import os
from pathlib import Path

from cli.typed import FEED, Said, export, sentinel, when

from sentinel.edges.clock import Clock

WITH_MILK = """\
feed: milkings
files: "milkings_*.csv"
delimiter: ";"
times: "%Y-%m-%d %H:%M:%S"
pace: hourly   # QUESTION: how often does a file come? hourly, daily, weekly or monthly
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: Milk
    outcome: {column: Outcome, words: {milked: milked}}
"""


def milkings(factor: float = 1.0, n: int = 30) -> str:
    """An export of so many milkings, a few minutes apart, the last a while ago."""
    now = Clock().now()
    rows = [f"{100 + i};{when(now - 300 * (n - i))};1;{(9 + i % 5) * factor:.1f};milked" for i in range(n)]
    return "\n".join(["Cow;Start;Box;Milk;Outcome", *rows, ""])


def tried(farm: Path, *options: str) -> Said:
    """What `check` says."""
    return sentinel("check", farm, *options)


def test_without_exports_it_says_that_nothing_was_tried(farm: Path) -> None:
    """The settings are right, which is not to say that the maps are: --strict is not content with it."""
    said = tried(farm)

    assert said.code == 0
    assert "All good: 1 feed maps" in said.out
    assert "There is no export in the inbox yet, so no map was tried." in said.out
    assert tried(farm, "--strict").code == 1


def test_a_map_that_reads_its_files_well_is_shown_and_asked_nothing(farm: Path) -> None:
    """Rows of each file, and each field's figures beside what is usual."""
    (farm / "feeds" / "milkings.yaml").write_text(WITH_MILK.replace("   # QUESTION: how", "   # how"))
    for n in range(5):
        (farm / "exports" / f"milkings_{n}.csv").write_text(milkings())

    said = tried(farm, "--strict")

    assert said.code == 0, said.err
    assert "milkings (feeds/milkings.yaml): the newest 3 and 2 older ones of 5 files" in said.out
    assert "milkings_4.csv: 30 visits" in said.words
    assert "visits.outcome: milked 150" in said.words
    assert "visits.milk_kg 150 9 11 13 kg 0.5–40 0–100" in said.words
    assert "All good: 1 feed maps, 2 rules, 0 examples, 1 people; 5 of 5 files tried." in said.words


def test_the_first_hour_with_ones_own_exports(farm: Path) -> None:
    """A question left open, pounds as kilograms, a pattern and a file that do not meet, a word and a column: each has
    its line and says what to do."""
    feeds, exports = farm / "feeds", farm / "exports"
    (feeds / "milkings.yaml").write_text(WITH_MILK)
    (feeds / "herd.yaml").write_text('feed: herd\nfiles: "hered_*.csv"\ntables:\n  cows: {cow: Cow, from: Since}\n')
    (feeds / "tank.yaml").write_text(
        'feed: tank\nfiles: "tank_*.csv"\ntables:\n  tank:\n    tank: Tank\n    at: Read\n'
    )
    (exports / "milkings_1.csv").write_text(milkings(2.2046) + f"999;{when(Clock().now())};1;20;stopped\n")
    (exports / "herd_1.csv").write_text("Cow,Since\n7,2026-03-01\n")
    (exports / "tank_1.csv").write_text("Vessel,Read\n1,2026-03-01 06:00\n")

    said = tried(farm)

    assert said.code == 0
    assert [line.partition("; ")[0] for line in said.err.splitlines() if ":" in line and "note" not in line] == [
        "feeds/herd.yaml:2:1: no file in the inbox fits \"hered_*.csv\" (did you mean \"herd_1.csv\"?): "
        "is the pattern right?",
        "feeds/milkings.yaml:5:18: an open question at pace: how often does a file come? hourly, daily, weekly or "
        "monthly",
        "feeds/milkings.yaml:11:5: milk_kg: half of the figures are over 24.3 kg, where a herd's lie at 4–22 kg",
        "feeds/milkings.yaml:12:5: 1 row of 31 is read without that cell (first milkings_1.csv:32): \"Outcome\": "
        "\"stopped\" is not in the map's word table (known here: milked)",
        "feeds/tank.yaml:5:5: nothing of tank_1.csv can be read: its titles lack \"Tank\" (known here: Vessel, Read)",
        "herd_1.csv: no feed map is for this file: `sentinel map` drafts one, if it is an export",
    ]  # fmt: skip
    assert "Then write unit: lb" in said.words
    assert "All good" not in said.out
    assert "see the 6 findings above about how exports are read" in said.words
    assert tried(farm, "--strict").code == 1


def test_for_programs_each_file_field_and_finding_is_a_line(farm: Path) -> None:
    """With --json nothing else is on standard output."""
    (farm / "feeds" / "milkings.yaml").write_text(WITH_MILK)
    (farm / "exports" / "milkings_1.csv").write_text(milkings())

    said = tried(farm, "--json", "--strict")

    assert said.code == 1
    assert [one["kind"] for one in said.records] == ["file", *["field"] * 5, "finding"]
    assert said.records[0]["rows"] == {"visits": 30}
    milk = next(one for one in said.records if one.get("field") == "visits.milk_kg")
    assert (milk["lowest"], milk["median"], milk["highest"], milk["missing"]) == (9.0, 11.0, 13.0, 0)
    assert (said.records[-1]["file"], said.records[-1]["line"]) == ("feeds/milkings.yaml", 5)


def test_questions_are_told_also_where_a_map_cannot_be_read_yet(farm: Path) -> None:
    """A draft that lacks a key loads only once it is filled in; the other maps are tried meanwhile."""
    (farm / "feeds" / "more.yaml").write_text(
        WITH_MILK.replace("feed: milkings", "feed: more").replace("milkings_", "m_")
    )
    (farm / "exports" / "m_1.csv").write_text(milkings())
    (farm / "exports" / "milkings_1.csv").write_text(milkings())
    (farm / "feeds" / "milkings.yaml").write_text(WITH_MILK.replace("    start: Start\n", "    # FILL IN start: ...\n"))

    said = tried(farm)

    assert said.code == 1
    assert "feeds/milkings.yaml:9:7: something to fill in: start: ..." in said.words
    assert "start: is missing and must be given" in said.words
    assert "m_1.csv: 30 visits" in said.words
    assert "no feed map is for this file" not in said.words


def test_nothing_of_the_inbox_or_the_farm_is_touched(farm: Path) -> None:
    """No file is moved, changed or stamped anew, no note is left, and no store is made."""
    (farm / "exports" / "a.csv").write_text(export(("7", 60, "1", "milked")))
    os.utime(farm / "exports" / "a.csv", (1_700_000_000, 1_700_000_000))
    before = {path: path.stat().st_mtime_ns for path in sorted(farm.rglob("*"))}

    tried(farm)

    assert {path: path.stat().st_mtime_ns for path in sorted(farm.rglob("*"))} == before


def test_hostile_files_end_nothing(farm: Path) -> None:
    """Too large, no text, brackets without end, a way out of the inbox: each told or left alone; others are read."""
    exports = farm / "exports"
    (farm / "feeds" / "milkings.yaml").write_text(FEED.replace('"*.csv"', '["a*.csv", "deep*"]'))
    (exports / "a1.csv").write_bytes(b"x" * 17_000_000)
    os.utime(exports / "a1.csv", (Clock().now() - 90,) * 2)
    (exports / "a2.csv").write_bytes(bytes(range(256)) * 40)
    (exports / "a3.csv").write_text(export(("7", 60, "1", "milked")))
    (exports / "b.json").write_text("[" * 100_000 + "]")
    (exports / "a4.csv").symlink_to("/etc/passwd")

    said = tried(farm)

    assert said.code == 0
    assert "nothing of a1.csv can be read: it is larger than 16 MB" in said.words
    assert "a3.csv: 1 visits" in said.words
    assert "root:" not in said.words + said.err
    assert "Traceback" not in said.err


def test_a_file_in_which_the_process_ended_twice_is_left_alone(farm: Path) -> None:
    """As the intake leaves it; and the note that says so is not written by who does not hold the farm."""
    file = farm / "exports" / "a.csv"
    file.write_text(export(("7", 60, "1", "milked")))
    info = file.stat()
    note = f'{{"now": null, "ended": [["a.csv", [{info.st_size}, {info.st_mtime_ns}, {info.st_ino}], 2]]}}'
    (farm / "sentinel.reading").write_text(note)

    said = tried(farm)

    assert "nothing of a.csv can be read: the program ended twice while reading it" in said.words
    assert (farm / "sentinel.reading").read_text() == note


def test_map_and_init_say_what_is_to_be_asked(farm: Path) -> None:
    """A draft's questions, on standard error as the draft goes into a file; exports that wait for their maps."""
    (farm / "feeds" / "milkings.yaml").unlink()
    (farm / "rules" / "boxes.yaml").unlink()
    sample = farm / "exports" / "herd.csv"
    sample.write_text("Cow;Since;Stage\n7;2026-03-01;in milk\n8;2026-03-02;dry\n")

    drafted = sentinel("map", sample, "--farm", farm)
    again = sentinel("init", farm)

    assert "the draft:" in drafted.err and "an open question" in drafted.err
    assert "the draft:" not in drafted.out
    assert "herd.csv: no feed map is for this file: `sentinel map` drafts one, if it is an export" in again.words
