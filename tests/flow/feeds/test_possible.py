"""A figure that cannot be a reading is unknown, as an empty cell is; each field of a file says so once."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from whole.farm_rows import quick

from sentinel.edges.store.exports.ingest import rows_by_key
from sentinel.flow.feeds import FeedMap, load_feed_map, read_export, read_icar
from sentinel.flow.feeds.possible import only_possible
from sentinel.flow.model import Batch, Export
from sentinel.flow.tables import EXPORTED

MAP = """
feed: milkings
files: "*.csv"
delimiter: ";"
decimal: ","
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: Milk
    duration_s: Stay
    outcome: {column: Ended, words: {done: milked}}
  quarters:
    each: quarter
    conductivity_mS_cm: {column: "{quarter} mS", reference_temperature_C: 25}
    milk_kg: "{quarter} kg"
"""
HEAD = "Cow;Start;Box;Milk;Stay;Ended;LF mS;RF mS;LR mS;RR mS;LF kg;RF kg;LR kg;RR kg"


def feed() -> FeedMap:
    """The map."""
    found, problems = load_feed_map(MAP, "feeds/milkings.yaml")
    assert found is not None, problems
    return found


def row(cow: str, minute: int = 0, **cells: str) -> str:
    """One line of the export; a cell by its title, with _ for the space."""
    usual = dict(
        zip(HEAD.split(";"), f"{cow};;1;10,2;420;done;5,1;5,2;5,0;5,1;2,5;2,6;2,5;2,6".split(";"), strict=True)
    )
    usual["Start"] = f"2026-03-28 {6 + minute // 60:02}:{minute % 60:02}"
    return ";".join({**usual, **{title.replace("_", " "): cell for title, cell in cells.items()}}.values())


def read(*rows: str) -> Batch:
    """What the lines give, without what cannot be."""
    export = Export("m.csv", ("\n".join([HEAD, *rows]) + "\n").encode(), 0)
    return only_possible(read_export(feed(), export, "UTC"), feed())


def stored(batch: Batch) -> dict[Any, dict[str, Any]]:
    """The rows as they would be stored, those cells left out that are not known."""
    return {
        (table, *key): {name: value for name, value in values.items() if value is not None}
        for table, rows in rows_by_key(batch.rows)
        for key, values in rows.items()
    }


def told(batch: Batch) -> list[tuple[int, bool, str]]:
    """What was set aside: line, whether the row was kept, why."""
    return [(one.line, one.kept, str(one.reason or "")) for one in batch.set_aside]


def test_an_impossible_figure_costs_its_cell() -> None:
    """The row stands without it; its line, what the export calls it, and what would be possible are told."""
    batch = read(row("7"), row("8", 5, Milk="10200", Box="2"), row("9", 10))

    assert stored(batch)["visits", "8", 1774677900]["box"] == "2"
    assert "milk_kg" not in stored(batch)["visits", "8", 1774677900]
    assert told(batch) == [
        (
            3,
            True,
            '"Milk": 1 figure left out, all at box 2, as no such reading is possible (first 10200; possible is '
            "0–100 kg); is it the sensor, the unit or the column?",
        )
    ]


def test_a_column_left_out_takes_nothing_back() -> None:
    """It is not carried by the row, so that what an earlier export said of it stands; an empty cell would be."""
    [first, second, *_] = [part for part in read(row("7"), row("8", 5, Milk="999")).rows if part.table == "visits"]

    assert "milk_kg" in first.columns
    assert "milk_kg" not in second.columns


def test_a_sensor_that_is_wrong_at_every_milking_is_told_once() -> None:
    """Of forty rows one says why, of the right rear quarter at box 2 alone; all are counted."""
    batch = read(*(row(str(n), n, RR_mS="0,0" if n % 2 else "5,1", Box=str(1 + n % 2)) for n in range(80)))

    reasons = [why for _, _, why in told(batch) if why]
    assert len(batch.set_aside) == 40
    assert reasons == [
        '"RR mS": 40 figures left out, all at box 2, as no such reading is possible (first 0; possible is 1–25 '
        "mS/cm); is it the sensor, the unit or the column?"
    ]
    assert not any("rr_conductivity_mS_cm" in cells for key, cells in stored(batch).items() if int(key[1]) % 2)


def test_a_quarter_without_milk_has_no_conductivity_and_nothing_is_told() -> None:
    """A cow with three quarters has 0 mS/cm for the fourth at every milking; with milk it is a sensor's fault."""
    dry = read(row("7", LF_mS="0,0", LF_kg="0,0"), row("8", 5, LF_mS="0,0", LF_kg=""))
    faulty = read(row("7", LF_mS="0,0", LF_kg="2,4"))

    assert told(dry) == []
    assert all("lf_conductivity_mS_cm" not in cells for cells in stored(dry).values())
    assert len(told(faulty)) == 1


def test_what_could_not_be_read_of_the_same_row_is_told_with_it() -> None:
    """One row is one row: it is counted once, and says both."""
    [(line, kept, why)] = told(read(row("7", Milk="x", Stay="9999999")))

    assert (line, kept) == (2, True)
    assert why.startswith('"Milk": "x" is not a number; "Stay": 1 figure left out')


def test_a_unit_that_is_wholly_wrong_leaves_nothing() -> None:
    """Milliseconds as seconds, µS/cm as mS/cm, grams as kilograms: none is believed, and all is told at one row."""
    wrong = {"Stay": "420000", "Milk": "10200", "LF_mS": "5100", "RF_mS": "5200", "LR_mS": "5000", "RR_mS": "5100"}
    batch = read(*(row(str(n), n, **wrong) for n in range(30)))

    names = {name for cells in stored(batch).values() for name in cells}
    assert not {name for name in names if "mS_cm" in name} | names & {"milk_kg", "duration_s"}
    assert [line for line, _, why in told(batch) if why] == [2]
    assert len(told(batch)[0][2]) < 1001


@pytest.mark.parametrize(
    "cells",
    [
        {"Milk": "61,5", "Stay": "5400"},  # a cow that stayed away for two days, and lay down in the box
        {"LF_mS": "13,8", "LF_kg": "0,1"},  # clots and serum
        {"Milk": "0,0", "LF_kg": "0,0", "Stay": "12"},
    ],
)
def test_an_odd_cow_is_no_impossible_one(cells: dict[str, str]) -> None:
    """What a cow can do is kept, however rare."""
    assert read(row("7", **cells)).set_aside == ()


def test_milking_visits_of_the_open_standard_are_weighed_too() -> None:
    """Every reader's rows come through here; without a map the field has our name."""
    visit = {
        "animal": {"id": "7", "scheme": "f"},
        "milkingStartingDateTime": "2026-03-28T06:00:00Z",
        "milkingMilkWeight": {"unitCode": "KGM", "value": 10200},
        "milkingBoxNumber": "3",
    }

    [aside] = only_possible(read_icar(Export("v.json", json.dumps([visit]).encode(), 0))).set_aside

    assert str(aside.reason).startswith("milk_kg: 1 figure left out, all at box 3")
    assert (aside.who, aside.box, aside.tab, aside.begin) == ("7", "3", "visits", 1774677600)


def test_a_batch_that_is_possible_is_the_same() -> None:
    """Nothing is made anew for nothing."""
    batch = read(row("7"))

    assert only_possible(batch, feed()) is batch


FIGURES = {
    "Milk": st.sampled_from(["9,1", "0,0", "250", "-3", "10000"]),
    "Stay": st.sampled_from(["300", "21600", "21601", "-1"]),
    "LF mS": st.sampled_from(["5,1", "0,0", "52", "5100"]),
    "RR mS": st.sampled_from(["5,1", "1,0", "0,5"]),
    "LF kg": st.sampled_from(["2,1", "77", "-0,1"]),
}
POSSIBLE = {"Milk": (0, 100), "Stay": (0, 21_600), "LF mS": (1, 25), "RR mS": (1, 25), "LF kg": (0, 50)}


@quick
@given(st.lists(st.fixed_dictionaries(FIGURES), max_size=12), st.booleans())
def test_impossible_cells_are_as_good_as_empty(cells: list[dict[str, str]], twice: bool) -> None:
    """Whatever is impossible where, the rows are those of the same file with those cells empty."""
    cows = [str(n // 2 if twice else n) for n in range(len(cells))]  # a row may stand twice in a file, by its key
    minutes = [int(cow) for cow in cows]

    def lines(empty: bool) -> list[str]:
        made = []
        for cow, minute, one in zip(cows, minutes, cells, strict=True):
            shown = {t: "" if empty and not _fits(t, cell) else cell for t, cell in one.items()}
            made.append(row(cow, minute, **shown))
        return made

    if twice:  # of a row that stands twice an empty cell takes back, what cannot be read does not
        assert set(stored(read(*lines(False)))) == set(stored(read(*lines(True))))
    else:
        assert stored(read(*lines(False))) == stored(read(*lines(True)))


def _fits(title: str, cell: str) -> bool:
    low, high = POSSIBLE[title]
    return low <= float(cell.replace(",", ".")) <= high


def test_every_figure_of_an_export_says_what_is_possible() -> None:
    """A number without it would be believed whatever it is."""
    lacking = [
        f"{t.name}.{c.name}" for t in EXPORTED for c in t.columns if c.kind in ("number", "count") and not c.expected
    ]

    assert lacking == []
