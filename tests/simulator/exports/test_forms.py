"""The dialects: what is written can be read back by others, and the same rows give the same bytes."""

from __future__ import annotations

import json
from dataclasses import fields
from datetime import datetime
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from icar.resources import IcarMilkingVisitEventResource
from typer.testing import CliRunner

from sentinel.simulator import DemoWeek, demo_week
from sentinel.simulator.__main__ import app
from sentinel.simulator.boxes.routine import Event
from sentinel.simulator.exports.arrivals import Mistyped, Silence, csv_files, icar_files
from sentinel.simulator.exports.icar import icar_visit
from sentinel.simulator.exports.record import Quarter, Record
from sentinel.simulator.exports.spreadsheets import box_log_file
from sentinel.simulator.exports.visit_list import COLUMNS, csv_row
from sentinel.simulator.local_time import LocalTime
from sentinel.simulator.week.faults import Faults
from sentinel.simulator.week.parameters import Parameters, with_sources

LOCAL = LocalTime("Europe/Dublin")
BEGIN = LOCAL.at("2026-05-04 00:00")
NAN = float("nan")


def record(start: int = BEGIN, box: str = "1", outcome: str = "milked", cow: str = "217") -> Record:
    """A visit with four quarters, or without any where nothing was measured."""
    if outcome in ("milked", "incomplete"):
        quarters = (Quarter(4.8, 2.5, outcome == "incomplete", (415.0, 72.0, 492.0)),) * 4
        return Record(start, cow, box, outcome, 425, 71.4, 1, 10.0, 9.0, quarters)
    none = (Quarter(NAN, NAN, False, (NAN, NAN, NAN)),) * 4
    return Record(start, cow, box, outcome, 226, NAN, 3, 0.0, 9.0, none)


def test_csv_row() -> None:
    """A row has semicolons, decimal commas, local times and min:s; a failed visit leaves the quarters empty."""
    quarter = "4,80;2,50;no;415;72;492"
    assert csv_row(record(), LOCAL) == ";".join(["04.05.2026 00:00:00;1;217;done;7:05;71;1;10,0", *[quarter] * 4])

    failed = csv_row(record(outcome="failed"), LOCAL).split(";")
    assert failed[3:8] == ["no cups", "3:46", "", "3", "0,0"]
    assert set(failed[8:]) == {""}
    assert len(failed) == len(COLUMNS)


def test_csv_files_overlap_and_catch_up() -> None:
    """Each hourly file holds two hours; after two missing ones the next holds four."""
    hourly = [record(BEGIN + 3600 * h + 60, cow=str(100 + h)) for h in range(6)]
    silence = Silence(BEGIN + 3 * 3600, BEGIN + 4 * 3600)
    files = csv_files(hourly, frozenset("12"), frozenset("12"), LOCAL, BEGIN, BEGIN + 6 * 3600, silence, spoil_at=None)
    cows = {f.name: [row.split(";")[2] for row in f.content.decode("cp1252").split("\r\n")[1:-1]] for f in files}

    assert cows == {
        "milkings_20260504_0000.csv": [],
        "milkings_20260504_0100.csv": ["100"],
        "milkings_20260504_0200.csv": ["100", "101"],
        "milkings_20260504_0500.csv": ["101", "102", "103", "104"],
        "milkings_20260504_0600.csv": ["104", "105"],
    }


@pytest.mark.parametrize("outcome", ["milked", "incomplete", "failed"])
def test_icar_visit_is_valid(outcome: str) -> None:
    """A visit of any outcome is valid by the standard's model (package ICAR-pydantic 1.4)."""
    item = IcarMilkingVisitEventResource.model_validate(icar_visit(record(outcome=outcome), BEGIN + 425))

    assert item.animal.id == "217"
    assert item.milkingComplete == (outcome == "milked")
    assert len(item.quarterMilkings or []) == (0 if outcome == "failed" else 4)


def test_icar_visits_may_say_how_long_the_milking_took() -> None:
    """Visit less milking is the time to attach and 35 to 50 s of walking; a visit that failed has no milking."""
    timed = [icar_visit(record(outcome=how), BEGIN + 425, timed=True) for how in ("milked", "incomplete", "failed")]
    one = record(outcome="milked")
    walking = [
        item["milkingVisitDuration"]["value"] - item["milkingDuration"]["value"] - one.attach_s for item in timed[:2]
    ]

    assert all(34.5 <= seconds <= 50.5 for seconds in walking)  # the milking is in whole seconds
    assert "milkingDuration" not in timed[2]
    assert "milkingDuration" not in icar_visit(one, BEGIN + 425)


def test_icar_correction_comes_again() -> None:
    """A mistyped weight is written first wrong, then right with a newer `modified`, and nothing else twice."""
    visits = [record(BEGIN + 600, "3"), record(BEGIN + 1500, "3", cow="218")]
    slip = Mistyped("217", BEGIN + 600, 100.0, BEGIN + 7000)
    files = icar_files(visits, frozenset("3"), BEGIN, BEGIN + 3 * 3600, [slip])
    items = [item for f in files for item in json.loads(f.content)["member"]]

    assert [(i["animal"]["id"], i["milkingMilkWeight"]["value"]) for i in items] == [
        ("217", 100.0),
        ("218", 10.0),
        ("217", 10.0),
    ]
    assert items[2]["meta"]["modified"] > items[0]["meta"]["modified"]
    assert items[2]["id"] == items[0]["id"]


def test_box_log_is_in_local_time() -> None:
    """A log entry at 05:00 UTC in May stands at 06:00 in the sheet."""
    sheet = openpyxl.load_workbook(BytesIO(box_log_file([Event(BEGIN + 6 * 3600, "2", "washed")], LOCAL))).active
    assert sheet is not None

    when = list(sheet.iter_rows(min_row=2, values_only=True))
    assert when == [(datetime(2026, 5, 4, 6, 0), 2, "system wash ended", None)]  # noqa: DTZ001


def test_one_seed_one_week() -> None:
    """The same seed gives the same bytes and truth; another seed another week with the same kinds of faults."""
    one, same, other = demo_week(5), demo_week(5), demo_week(6)

    assert one == same
    assert list(one.files) == list(other.files)
    assert one.files != other.files

    def kinds(week: DemoWeek) -> set[str]:
        return {item["kind"] for item in week.truth["items"]}

    assert kinds(one) == kinds(other)


def test_every_parameter_has_a_unit_and_a_source() -> None:
    """No number of the herd comes from nowhere."""
    listed = with_sources(Parameters())

    assert [p["name"] for p in listed] == [f.name for f in fields(Parameters)]
    assert all(p["unit"] and p["source"] for p in listed)
    assert all(any(word in p["source"] for word in ("20", "p. 457", "from memory", "assumption")) for p in listed)


def test_no_fault_without_asking() -> None:
    """A herd without planted faults has none."""
    assert Faults().arm_of("1", BEGIN) is None
    assert Faults().failing("217", BEGIN) is None


def test_command(tmp_path: Path) -> None:
    """`python -m sentinel.simulator demo OUT` writes the farm folder's exports, maps, arrivals and truth."""
    result = CliRunner().invoke(app, ["demo", str(tmp_path / "demo")])

    assert result.exit_code == 0, result.output
    assert "687 exports" in result.output
    assert sorted(p.name for p in (tmp_path / "demo").iterdir()) == [
        "arrivals.csv",
        "exports",
        "farm.yaml",
        "feeds",
        "truth.json",
    ]
