"""The exports of a herd: read back through their own maps they give the rows that were simulated, and nothing else."""

from __future__ import annotations

import csv
from functools import cache
from typing import Any

import pandas as pd
import pytest

from sentinel.flow.feeds import FeedMap, load_feed_map, matches, read_export
from sentinel.flow.feeds.formats.icar import looks_like_icar, read_icar
from sentinel.flow.model import Batch, Export
from sentinel.flow.setup import read_setup
from sentinel.flow.tables import table_named
from sentinel.runtime.ticks import batch_of
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.farm_folder import farm_texts
from sentinel.simulator.exports.files import export_files

SPEC = HerdSpec(cows=40, boxes=2, days=14, seed=3)


@cache
def herd() -> Simulated:
    """Forty cows, two boxes, two weeks."""
    return simulate(SPEC)


@cache
def batches() -> list[tuple[int, Batch]]:
    """Every export read through its map, in order of arrival."""
    feeds: list[FeedMap] = []
    for name, text in farm_texts(herd()).items():
        if name.startswith("feeds/"):
            feed, problems = load_feed_map(text, name)
            assert problems == []
            assert feed is not None
            feeds.append(feed)
    read = []
    for file in sorted(export_files(herd()), key=lambda f: f.arrives_at):
        export = Export(file.name, file.content, file.arrives_at)
        mine = [feed for feed in feeds if matches(feed, file.name)]
        assert len(mine) == (0 if looks_like_icar(export) else 1), file.name
        read.append((file.arrives_at, read_export(mine[0], export, SPEC.zone) if mine else read_icar(export)))
    return read


@cache
def rows(table: str) -> dict[tuple[Any, ...], dict[str, Any]]:
    """The newest version of each row of a table that any export gave, by key."""
    key = table_named(table).key
    found: dict[tuple[Any, ...], dict[str, Any]] = {}
    for _, batch in batches():
        for part in batch.rows:
            if part.table == table:
                for values in part.values:
                    row = dict(zip(part.columns, values, strict=True))
                    found.setdefault(tuple(row[k] for k in key), {}).update(row)
    return found


def value(cell: Any) -> Any:
    """A missing value as None."""
    return None if pd.isna(cell) else cell


def test_no_row_is_set_aside() -> None:
    """Every row of every export is understood."""
    assert [b.set_aside for _, b in batches() if b.set_aside] == []


def test_settings_are_right() -> None:
    """The farm and its maps are read without a problem."""
    setup, problems = read_setup(farm_texts(herd()))

    assert problems == []
    assert setup is not None
    assert setup.farm.boxes == ("1", "2")
    assert {feed.feed for feed in setup.feeds} == {"milkings", "boxlog", "herd", "tank", "recording"}


@pytest.mark.parametrize("table", ["box_log", "tank", "cow_tests"])
def test_rows_come_back_as_they_were(table: str) -> None:
    """What was written is what is read, but for what happened after the last export."""
    frame: pd.DataFrame = getattr(herd().tables, table)
    happened, key = table_named(table).happened, table_named(table).key
    until = herd().calendar.until - (2 * 86400 if table in ("tank", "cow_tests") else 3600)
    told = rows(table)
    for row in frame[frame[happened] < until].to_dict("records"):
        mine = told[tuple(row[k] for k in key)]
        assert {k: value(mine.get(str(k))) for k in row} == {k: value(v) for k, v in row.items()}


def test_visits_come_back_as_they_were() -> None:
    """At the box with a visit list every visit comes back whole; the ICAR box has those that were not sent on."""
    visits = herd().tables.visits
    told = {k: v for k, v in rows("visits").items()}
    expected = visits[(visits["box"] == "1") | (visits["outcome"] != "refused")]

    assert set(told) == set(zip(expected["cow"], expected["start"], strict=True))
    names = ("box", "duration_s", "outcome", "milk_kg", "attach_s", "attempts")
    for row in expected[expected["box"] == "1"].to_dict("records"):
        mine = told[row["cow"], row["start"]]
        assert {n: value(mine[n]) for n in names} == {n: value(row[n]) for n in names}
    for row in expected[expected["box"] == "2"].to_dict("records"):
        mine = told[row["cow"], row["start"]]
        assert [value(mine[n]) for n in ("box", "milk_kg")] == [row["box"], row["milk_kg"]]


def test_quarters_come_back_as_they_were() -> None:
    """Conductivity, milk and teat places of each quarter at both boxes."""
    told, count = rows("quarters"), 0
    for row in herd().tables.visits.to_dict("records"):
        for quarter in ("LF", "RF", "LR", "RR"):
            wide = {n: row[f"{quarter.lower()}_{n}"] for n in ("conductivity_mS_cm", "milk_kg", "x_mm", "y_mm", "z_mm")}
            if value(wide["milk_kg"]) is not None:
                mine = told[row["cow"], row["start"], quarter]
                assert {n: mine[n] for n in wide} == wide
                count += 1

    assert count == len(told) > 4000


def test_herd_lists_tell_what_is_true() -> None:
    """Each morning's list has every cow once, as the table of cows has her at that moment."""
    cows = herd().tables.cows
    told = rows("cows")
    latest = cows[cows["from"] < herd().calendar.until - 86400].drop_duplicates("cow", keep="last")

    for row in latest.to_dict("records"):
        mine = told[row["cow"], row["from"]]
        assert {k: mine[str(k)] for k in row if k in mine} == {k: row[k] for k in row if k in mine}


def test_split_exports_are_the_same_rows_in_two_files() -> None:
    """Each visit list is parted into visits and the quarters of those that gave milk; no other export changes."""
    whole = {file.name: file for file in export_files(herd())}
    split = {file.name: file for file in export_files(herd(), split=True)}
    lists = {name for name in whole if name.startswith("milkings_")}
    quarters = 0

    assert {n: f for n, f in whole.items() if n not in lists} == {
        n: f for n, f in split.items() if not (n.endswith(".csv") and n.startswith(("visits_", "quarters_")))
    }
    for name in lists:
        parts = [split[name.replace("milkings", what)] for what in ("visits", "quarters")]
        assert {file.arrives_at for file in parts} == {whole[name].arrives_at}
        texts = [file.content.decode("cp1252") for file in (whole[name], *parts)]
        lines, visits, measured = ([*csv.reader(text.splitlines(), delimiter=";")] for text in texts)
        assert visits == [line[:8] for line in lines]
        assert measured == [[*line[:3], *line[8:]] for line in lines if line[3] in ("Ended", "done", "cut short")]
        quarters += len(measured) - 1

    assert quarters > 1500


def test_the_maps_of_split_exports_read_every_row() -> None:
    """Each export has one map, nothing is set aside, and the rows are those of the whole exports."""
    setup, problems = read_setup(farm_texts(herd(), split=True))
    assert problems == []
    assert setup is not None
    found: dict[str, dict[tuple[Any, ...], dict[str, Any]]] = {"visits": {}, "quarters": {}}
    for file in export_files(herd(), split=True):
        assert sum(matches(feed, file.name) for feed in setup.feeds) == (0 if file.name.endswith(".json") else 1)
        batch = batch_of(setup, Export(file.name, file.content, file.arrives_at))
        assert batch is not None
        assert batch.set_aside == ()
        for part in batch.rows:
            key = table_named(part.table).key
            for values in part.values if part.table in found and batch.feed != "icar" else ():
                row = dict(zip(part.columns, values, strict=True))
                found[part.table][tuple(row[k] for k in key)] = row

    for table, mine in found.items():
        assert mine
        assert mine == {k: row for k, row in rows(table).items() if row["box"] == "1"}


def test_arrivals_are_after_what_they_tell() -> None:
    """No export holds a row from after it appeared."""
    for at, batch in batches():
        for part in batch.rows:
            happened = table_named(part.table).happened
            if part.values:
                assert max(v[part.columns.index(happened)] for v in part.values) <= at
