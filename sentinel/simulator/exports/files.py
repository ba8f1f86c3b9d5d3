"""The simulated rows as exports in three dialects, each with the moment it appears.

The last box writes ICAR ADE collections, the others one hourly visit list; a farm with one box has visit lists only.
Split, the visit list is two exports, visits and quarters, as some herd computers write them; the rest is the same.
What a dialect has no words for is not in it: ICAR has no visit that was sent on, no number of tries, no cup that came
off, no word for a milking that failed; in place of the time to attach it has how long visit and milking took.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from typing import Any, Literal

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.simulator.boxes.upkeep import Event
from sentinel.simulator.exports.arrivals import (
    AT_ONCE_S,
    BOX_STEP_S,
    DELAY_S,
    ICAR_STEP_S,
    LOG_SPAN_S,
    File,
    box_log_name,
    icar_name,
    split_name,
    stamps,
)
from sentinel.simulator.exports.icar_animals import herd_events, left, pages, tests
from sentinel.simulator.exports.icar_collection import icar_file, icar_visit
from sentinel.simulator.exports.mistyped import icar_box
from sentinel.simulator.exports.record import Record, visit_records
from sentinel.simulator.exports.spreadsheets import STAGES, box_log_file, herd_file, lines_file
from sentinel.simulator.exports.visit_list import (
    ENCODING,
    comma,
    csv_file,
    csv_rows,
    quarter_list,
    spoil,
    unfinished,
    visit_list,
)
from sentinel.simulator.exports.workbook import Cell
from sentinel.simulator.plans.happenings import Spell
from sentinel.simulator.simulated import Simulated

Dialect = Literal["mixed", "lists", "ade"]
"""The last box in ICAR ADE and the rest as lists; all as lists; all in ICAR ADE, as far as that has a place for it."""

PAGE = 50
"""So many resources about cows one page holds."""


def export_files(herd: Simulated, split: bool = False, dialect: Dialect = "mixed") -> Iterator[File]:
    """Every export; the same herd gives the same bytes. `split`: visits and quarters in two exports, also if the herd's
    own plan does not say so."""
    if dialect == "ade":
        yield from _all_in_ade(herd)
        return
    split = split or herd.exports.split
    visits, last = herd.tables.visits, icar_box(herd.spec) if dialect == "mixed" else None
    in_icar = (visits["box"] == last).to_numpy(bool)
    since = (visits["start"] >= herd.exports.first).to_numpy(bool)
    if herd.exports.history:
        yield from _written(herd, herd.exports.first, csv_rows(visits[~since], herd.calendar.local), split)
    if herd.exports.by_box:
        for number, box in enumerate(name for name in herd.spec.box_names if name != last):
            yield from _visit_lists(herd, visits[visits["box"] == box], split, box, number * BOX_STEP_S)
    else:
        yield from _visit_lists(herd, visits[~in_icar], split)
    if last is not None:
        is_shown = (visits["outcome"] != "refused").to_numpy(bool)
        yield from _collections(herd, visit_records(visits[in_icar & since & is_shown]))
    if "box_log" not in herd.exports.unsaid:
        yield from _box_logs(herd)
    yield from _herd_lists(herd)
    yield from _tank_lines(herd)
    if herd.exports.recordings:
        yield from _recordings(herd)


def _all_in_ade(herd: Simulated) -> Iterator[File]:
    """The visits to all boxes, what becomes of the cows and the test days, in the standard alone."""
    visits = herd.tables.visits
    is_shown = (visits["outcome"] != "refused").to_numpy(bool)
    yield from _collections(herd, visit_records(visits[is_shown].reset_index(drop=True)), timed=True)
    events = [*herd_events(herd.tables.cows), *((at, left(cow, at)) for cow, at in herd.mishaps.gone.items())]
    events.sort(key=lambda one: one[0])
    moments = [at for at, _ in events]
    local, until, since = herd.calendar.local, herd.calendar.until, 0
    for at in [herd.exports.first, *(local.at(f"{day} 05:00") for day in local.days(herd.exports.first, until))]:
        items = [item for _, item in events[bisect_left(moments, since) : bisect_left(moments, at + 1)]]
        since = at + 1
        yield from _paged("animals", items, at, at + DELAY_S)
    if herd.exports.recordings:
        every = herd.tables.cow_tests
        for moment in sorted(set(every["at"].tolist())):
            yield from _paged("tests", tests(every[every["at"] == moment]), moment, moment + 18 * HOUR_S)


def _paged(what: str, items: Sequence[dict[str, Any]], stamp: int, arrives_at: int) -> Iterator[File]:
    """A collection as files, a page each, that come some seconds one after the other; none if there is nothing."""
    written = icar_name(stamp).removeprefix("visits_").removesuffix(".json")
    for number, content in enumerate(pages(items, PAGE, f"https://example/{what}/{written}") if items else (), 1):
        yield File(f"{what}_{written}_{number}.json", content, arrives_at + 5 * number)


def _visit_lists(herd: Simulated, visits: pd.DataFrame, split: bool, box: str = "", later_s: int = 0) -> Iterator[File]:
    """One visit list each time, whole or split; after an outage the next one holds all that was missed."""
    starts, rows = visits["start"].tolist(), csv_rows(visits, herd.calendar.local)
    every_s, missed = herd.exports.every_s, 0
    for stamp in stamps(herd.exports.first, herd.calendar.until, every_s):
        if _within(stamp, herd.mishaps.lost):
            continue
        if _within(stamp, herd.mishaps.outages):
            missed += 1
            continue
        since = stamp - HOUR_S - (1 + missed) * every_s
        missed = 0
        begin, end = bisect_left(starts, since), bisect_left(starts, stamp)
        chosen = rows[begin:end]
        if herd.exports.in_progress:
            chosen = [*chosen]
            for place, line in unfinished(visits.iloc[begin:end], stamp, herd.calendar.local).items():
                chosen[place] = line
        chosen = spoil(chosen) if stamp in herd.exports.unreadable_at else chosen
        yield from _written(herd, stamp, chosen, split, box, later_s)


def _within(stamp: int, spells: Sequence[Spell]) -> bool:
    return any(spell.start <= stamp < spell.until for spell in spells)


def _written(
    herd: Simulated, stamp: int, rows: Sequence[str], split: bool, box: str = "", later_s: int = 0
) -> Iterator[File]:
    """The visit list of these lines, whole or split; of one box, if it is named."""
    local, of_box = herd.calendar.local, f"_{box}" if box else ""
    comes = stamp + (AT_ONCE_S if herd.exports.in_progress else DELAY_S) + later_s
    if not split:
        yield File(split_name(f"milkings{of_box}", stamp, local), csv_file(rows), comes)
        return
    yield File(split_name(f"visits{of_box}", stamp, local), visit_list(rows), comes)
    later = comes + herd.exports.quarters_after_s
    yield File(split_name(f"quarters{of_box}", stamp, local), quarter_list(rows), later)


def _collections(herd: Simulated, records: Sequence[Record], timed: bool = False) -> Iterator[File]:
    """ICAR collections of the visits ended since the one before, and the corrections made since."""
    slips, timed = herd.mishaps.slips, timed or herd.exports.timed
    wrong, by_key = {(s.cow, s.start): s for s in slips}, {(r.cow, r.start): r for r in records}
    ended = sorted((r.start + r.duration_s, r.start, r.cow) for r in records)
    moments = [end for end, _, _ in ended]
    step_s = ICAR_STEP_S if herd.exports.every_s == HOUR_S else herd.exports.every_s
    since = herd.exports.first + DELAY_S - step_s
    for stamp in stamps(since, herd.calendar.until + DELAY_S, step_s):
        if _within(stamp - DELAY_S, herd.mishaps.lost):
            continue
        items = []
        for end, start, cow in ended[bisect_right(moments, since) : bisect_right(moments, stamp)]:
            slip = wrong.get((cow, start))
            items.append(icar_visit(by_key[cow, start], end, slip.wrong_kg if slip else None, timed=timed))
        for slip in slips:
            if since < slip.corrected_at <= stamp:
                items.append(icar_visit(by_key[slip.cow, slip.start], slip.corrected_at, timed=timed))
        since = stamp
        yield File(icar_name(stamp), icar_file(items), stamp)


def _box_logs(herd: Simulated) -> Iterator[File]:
    """The boxes' log every hour, each file with the last six."""
    log, local = herd.tables.box_log, herd.calendar.local
    columns = [log[name].tolist() for name in ("at", "box", "event", "text")]
    events = [Event(at, box, event, text or "") for at, box, event, text in zip(*columns, strict=True)]
    moments = columns[0]
    first = [herd.exports.first] if herd.exports.history else []
    for stamp in [*first, *stamps(herd.exports.first, herd.calendar.until)]:
        chosen = events[bisect_left(moments, stamp - LOG_SPAN_S) : bisect_left(moments, stamp)]
        content = box_log_file(chosen, local)
        if stamp in herd.exports.cut_at:
            content = content[: len(content) // 2]
        yield File(box_log_name(stamp, local), content, stamp + DELAY_S)


def _herd_lists(herd: Simulated) -> Iterator[File]:
    """The herd list each morning: one row per cow as she stands; cows that have left are not in it."""
    calendar, local = herd.calendar, herd.calendar.local
    cows, gone, first = herd.tables.cows, herd.mishaps.gone, herd.exports.first
    for at in [first, *(local.at(f"{day} 05:00") for day in local.days(first, calendar.until))]:
        latest = cows[cows["from"] <= at].drop_duplicates("cow", keep="last")
        rows: list[list[Cell]] = []
        for row in latest.sort_values("cow", key=lambda names: names.astype(int)).itertuples(index=False):
            number, since = str(row[0]), int(row[1])
            if gone.get(number, at) < at:
                continue
            calved = local.wall(int(row[4])).date()
            stage, allowed = STAGES[str(row[6])], int(row[5])
            rows.append([int(number), str(row[2]), int(row[3]), calved, stage, allowed, local.wall(since)])
        yield File(f"herd_{local.wall(at):%Y-%m-%d_%H%M}.xlsx", herd_file(rows), at + DELAY_S)


def _tank_lines(herd: Simulated) -> Iterator[File]:
    """Each morning the tank's readings of the day before, and the results of the collection two days back."""
    tank, local = herd.tables.tank, herd.calendar.local
    names = {"temperature_C": "celsius", "litres": "litres", "cells_k_ml": "cells", "bacteria_k_ml": "plate"}
    lab = tank["cells_k_ml"].notna().to_numpy()
    at = tank["at"].to_numpy(np.int64)
    for day in local.days(herd.exports.first, herd.calendar.until + herd.exports.tank_after_s):
        stamp = local.at(f"{day} 05:00")
        own = ~lab & (at > stamp - DAY_S) & (at <= stamp)
        results = lab & (at >= stamp - 2 * DAY_S) & (at < stamp - DAY_S)
        items: list[dict[str, Any]] = []
        for row in tank[own | results].to_dict("records"):
            figures = {word: row[name] for name, word in names.items() if not np.isnan(row[name])}
            figures = {word: value if word == "celsius" else round(value) for word, value in figures.items()}
            items.append({"vessel": row["tank"], "read": local.wall(int(row["at"])).isoformat(sep=" "), **figures})
        yield File(f"tank_{day}.jsonl", lines_file(items), stamp + DELAY_S)


def _recordings(herd: Simulated) -> Iterator[File]:
    """One file per milk recording, the morning after."""
    local = herd.calendar.local
    every = herd.tables.cow_tests
    for moment in sorted(set(every["at"].tolist())):
        tests = every[every["at"] == moment]
        rows = [
            f"{cow};{local.wall(moment):%d.%m.%Y %H:%M};{comma(cells, 0)};{comma(kg, 1)}"
            for cow, cells, kg in zip(tests["cow"], tests["cells_k_ml"], tests["milk_kg"], strict=True)
        ]
        content = ("\r\n".join(["Cow no;Sampled;Cells;Kilos", *rows]) + "\r\n").encode(ENCODING)
        yield File(f"recording_{local.wall(moment):%Y-%m-%d}.csv", content, moment + 18 * HOUR_S)
