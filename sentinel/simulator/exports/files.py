"""The season's rows as exports in the demo's three dialects, each with the moment it appears, and the farm around them.

The last box writes ICAR ADE collections, the others one hourly visit list; a farm with one box has visit lists only.
Split, the visit list is two exports, visits and quarters, as some herd computers write them; the rest is the same.
What a dialect has no words for is not in it: ICAR has no visit that was sent on, no number of tries, no cup that came
off, no word for a milking that failed; in place of the time to attach it has how long visit and milking took.
"""

from __future__ import annotations

import os
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS
from sentinel.flow.tables import QUARTER_VALUES
from sentinel.simulator.boxes.routine import Event
from sentinel.simulator.exports.arrivals import (
    DELAY_S,
    ICAR_STEP_S,
    LOG_SPAN_S,
    File,
    box_log_name,
    csv_name,
    icar_name,
    split_name,
    stamps,
)
from sentinel.simulator.exports.icar import icar_file, icar_visit
from sentinel.simulator.exports.mistyped import icar_box
from sentinel.simulator.exports.record import Quarter, Record
from sentinel.simulator.exports.spreadsheets import STAGES, box_log_file, herd_file, lines_file
from sentinel.simulator.exports.visit_list import ENCODING, comma, csv_file, csv_line, quarter_list, visit_list
from sentinel.simulator.exports.workbook import Cell
from sentinel.simulator.local_time import LocalTime, rfc3339
from sentinel.simulator.simulated import Simulated
from sentinel.simulator.truth.items import truth_text

QUARTER_HOUR_S = 15 * 60
FEEDS = ("milkings", "boxlog", "herd", "tank", "recording")
SPLIT = ("visits", "quarters", "boxlog", "herd", "tank", "recording")
MAPS = {
    "milkings": "# Visits to all boxes but the last (or to the only one), every hour;"
    " each file also holds the hour before.",
    "boxlog": "# What the boxes wrote about themselves, every hour; each file holds the last six.",
}


def export_files(herd: Simulated, split: bool = False) -> Iterator[File]:
    """Every export of the season; the same herd gives the same bytes. `split`: visits and quarters in two exports."""
    visits, last = herd.tables.visits, icar_box(herd.spec)
    in_icar = (visits["box"] == last).to_numpy(bool)
    yield from _visit_lists(herd, visits[~in_icar], split)
    if last is not None:
        yield from _collections(herd, visit_records(visits[in_icar & (visits["outcome"] != "refused").to_numpy(bool)]))
    yield from _box_logs(herd)
    yield from _herd_lists(herd)
    yield from _tank_lines(herd)
    yield from _recordings(herd)


def visit_records(visits: pd.DataFrame) -> list[Record]:
    """The rows of `visits` as the dialects take them."""
    values = {
        name: visits[[f"{q.lower()}_{name}" for q in QUARTERS]].to_numpy(float).tolist() for name in QUARTER_VALUES
    }
    milk = visits["milk_kg"].fillna(0.0).tolist()
    columns = [visits[name].tolist() for name in ("start", "cow", "box", "outcome", "duration_s", "attach_s")]
    tries = visits["attempts"].fillna(0).astype(int).tolist()
    records = []
    for n, (start, cow, box, outcome, duration, attach) in enumerate(zip(*columns, strict=True)):
        quarters = tuple(
            Quarter(c, kg, off == 1.0, (x, y, z))
            for c, kg, off, x, y, z in zip(*(values[name][n] for name in QUARTER_VALUES), strict=True)
        )
        records.append(Record(start, cow, box, outcome, int(duration), attach, tries[n], milk[n], 0.0, quarters))
    return records


def csv_rows(visits: pd.DataFrame, local: LocalTime) -> list[str]:
    """The rows of `visits` as lines of a visit list: column by column what `csv_row` writes of a record."""
    measured = []
    for quarter in QUARTERS:
        conductivity, kg, off, *teat = (visits[f"{quarter.lower()}_{name}"].to_numpy(float) for name in QUARTER_VALUES)
        told = np.where(np.isnan(kg), "", np.where(off == 1.0, "yes", "no"))
        measured += [column.tolist() for column in (conductivity, kg, told, *teat)]
    columns = (
        _came_in(visits["start"].to_numpy(np.int64), local),
        *(visits[name].tolist() for name in ("box", "cow", "outcome")),
        visits["duration_s"].astype(int).tolist(),
        visits["attach_s"].tolist(),
        visits["attempts"].fillna(0).astype(int).tolist(),
        visits["milk_kg"].fillna(0.0).tolist(),
        zip(*measured, strict=True),
    )
    return list(map(csv_line, *columns))


def _came_in(moments: np.ndarray, local: LocalTime) -> list[str]:
    """Moments on the farm's clock; worked out once a quarter of an hour, as no zone of our day is apart by less."""
    quarter, seconds = np.divmod(moments, QUARTER_HOUR_S)
    walls = {at: local.wall(at * QUARTER_HOUR_S) for at in np.unique(quarter).tolist()}
    begins = {at: (f"{wall:%d.%m.%Y %H:}", wall.minute) for at, wall in walls.items()}
    told = []
    for at, past in zip(quarter.tolist(), seconds.tolist(), strict=True):
        hour, minute = begins[at]
        told.append(f"{hour}{minute + past // 60:02d}:{past % 60:02d}")
    return told


def _visit_lists(herd: Simulated, visits: pd.DataFrame, split: bool) -> Iterator[File]:
    """One visit list an hour, whole or split; after an outage the next one holds all that was missed."""
    calendar, local = herd.calendar, herd.calendar.local
    starts, rows = visits["start"].tolist(), csv_rows(visits, local)
    outages, missed = herd.mishaps.outages, 0
    for stamp in stamps(calendar.begin, calendar.until):
        if any(outage.start <= stamp < outage.until for outage in outages):
            missed += 1
            continue
        since = stamp - (2 + missed) * HOUR_S
        missed = 0
        chosen = rows[bisect_left(starts, since) : bisect_left(starts, stamp)]
        if not split:
            yield File(csv_name(stamp, local), csv_file(chosen), stamp + DELAY_S)
            continue
        yield File(split_name("visits", stamp, local), visit_list(chosen), stamp + DELAY_S)
        yield File(split_name("quarters", stamp, local), quarter_list(chosen), stamp + DELAY_S)


def _collections(herd: Simulated, records: Sequence[Record]) -> Iterator[File]:
    """ICAR collections of the visits ended since the one before, and the corrections made since."""
    slips = herd.mishaps.slips
    wrong, by_key = {(s.cow, s.start): s for s in slips}, {(r.cow, r.start): r for r in records}
    ended = sorted((r.start + r.duration_s, r.start, r.cow) for r in records)
    moments = [end for end, _, _ in ended]
    for stamp in stamps(herd.calendar.begin + DELAY_S - ICAR_STEP_S, herd.calendar.until + DELAY_S, ICAR_STEP_S):
        items = []
        for end, start, cow in ended[bisect_right(moments, stamp - ICAR_STEP_S) : bisect_right(moments, stamp)]:
            slip = wrong.get((cow, start))
            items.append(icar_visit(by_key[cow, start], end, slip.wrong_kg if slip else None, timed=True))
        for slip in slips:
            if stamp - ICAR_STEP_S < slip.corrected_at <= stamp:
                items.append(icar_visit(by_key[slip.cow, slip.start], slip.corrected_at, timed=True))
        yield File(icar_name(stamp), icar_file(items), stamp)


def _box_logs(herd: Simulated) -> Iterator[File]:
    """The boxes' log every hour, each file with the last six."""
    log, local = herd.tables.box_log, herd.calendar.local
    columns = [log[name].tolist() for name in ("at", "box", "event", "text")]
    events = [Event(at, box, event, text or "") for at, box, event, text in zip(*columns, strict=True)]
    moments = columns[0]
    for stamp in stamps(herd.calendar.begin, herd.calendar.until):
        chosen = events[bisect_left(moments, stamp - LOG_SPAN_S) : bisect_left(moments, stamp)]
        yield File(box_log_name(stamp, local), box_log_file(chosen, local), stamp + DELAY_S)


def _herd_lists(herd: Simulated) -> Iterator[File]:
    """The herd list each morning: one row per cow as she stands; cows that have left are not in it."""
    calendar, local = herd.calendar, herd.calendar.local
    cows, gone = herd.tables.cows, herd.mishaps.gone
    for at in [calendar.begin, *(local.at(f"{day} 05:00") for day in local.days(calendar.begin, calendar.until))]:
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
    for day in local.days(herd.calendar.begin, herd.calendar.until + DAY_S):
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


def farm_texts(herd: Simulated, split: bool = False) -> Mapping[str, str]:
    """`farm.yaml` and the maps that read the exports, whole or split."""
    spec = herd.spec
    boxes = ", ".join(f'"{name}"' for name in spec.box_names)
    farm = f"""\
# A simulated farm: {spec.cows} cows in milk, {spec.boxes} boxes, seed {spec.seed}. Its truth is in truth.json.
name: {herd.truth["farm"]}
zone: {spec.zone}
decimal: ","
inbox: exports
boxes: [{boxes}]
rounds: ["06:30", "16:30"]
chores:
  filter: {{places: boxes, event: filter_changed}}
  wash:   {{places: boxes, event: washed}}
  optics: {{places: boxes, event: optics_cleaned}}
  arm:    {{places: boxes, event: arm_calibrated}}
"""
    texts = {"farm.yaml": farm}
    for name in SPLIT if split else FEEDS:
        text = package_files("sentinel.simulator").joinpath("farm", "feeds", f"{name}.yaml").read_text(encoding="utf-8")
        if name in MAPS:
            text = MAPS[name] + "\n" + text[text.index("feed:") :]
        texts[f"feeds/{name}.yaml"] = text
    return texts


def write_farm(out: Path, herd: Simulated, split: bool = False) -> tuple[int, int]:
    """Write the season into the folder `out`: exports/, arrivals.csv, truth.json, farm.yaml and feeds/.

    Each export gets the time at which it appeared as its own. `split`: visits and quarters in two exports. Returns how
    many exports were written, and their bytes.
    """
    (out / "exports").mkdir(parents=True, exist_ok=True)
    (out / "feeds").mkdir(exist_ok=True)
    arrivals, size = [], 0
    for file in export_files(herd, split):
        path = out / "exports" / file.name
        path.write_bytes(file.content)
        os.utime(path, (file.arrives_at, file.arrives_at))
        arrivals.append((file.arrives_at, file.name))
        size += len(file.content)
    lines = ["file,arrives_at", *(f"{name},{rfc3339(at)}" for at, name in sorted(arrivals))]
    (out / "arrivals.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    (out / "truth.json").write_bytes(truth_text(herd.truth))
    for name, text in farm_texts(herd, split).items():
        (out / name).write_text(text, encoding="utf-8")
    return len(arrivals), size
