"""What the herd computer writes, file by file, with the moment each file appears; and what goes wrong on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, NamedTuple

import numpy as np
from numpy.random import Generator

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.simulator.boxes.routine import Event
from sentinel.simulator.exports.icar import icar_file, icar_visit
from sentinel.simulator.exports.record import Record
from sentinel.simulator.exports.spreadsheets import STAGES, box_log_file, herd_file, lines_file
from sentinel.simulator.exports.visit_list import csv_file, csv_row
from sentinel.simulator.exports.workbook import Cell
from sentinel.simulator.local_time import LocalTime
from sentinel.simulator.week.faults import Faults
from sentinel.simulator.week.herd import Herd
from sentinel.simulator.week.parameters import Parameters

DELAY_S = 12 * 60
"""A file stamped with the full hour appears after the longest stay, so it holds all visits begun before it."""
ICAR_STEP_S = 30 * 60
"""Box 3 writes twice an hour: its files promise nothing, so its feed is known only up to its newest visit."""
LOG_SPAN_S = 6 * HOUR_S
KG_PER_LITRE = 1.03
"""From memory: milk weighs 1.03 kg a litre."""


class File(NamedTuple):
    """One export: its name in the inbox, its bytes, and when it appears (UTC seconds)."""

    name: str
    content: bytes
    arrives_at: int


@dataclass(frozen=True, slots=True)
class Silence:
    """The exports stamped from `first` to `last` never appear; the next one holds all they would have held."""

    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Mistyped:
    """A visit's milk was written as `wrong_kg` and put right at `corrected_at`."""

    cow: str
    start: int
    wrong_kg: float
    corrected_at: int


def stamps(first: int, until: int, step_s: int = HOUR_S) -> list[int]:
    """The export stamps after `first` up to and with `until`.

    >>> stamps(0, 7200)
    [3600, 7200]
    """
    return list(range(first + step_s, until + 1, step_s))


def csv_files(
    records: Sequence[Record],
    history_boxes: frozenset[str],
    boxes: frozenset[str],
    local: LocalTime,
    begin: int,
    until: int,
    silence: Silence | None,
    spoil_at: int | None,
) -> list[File]:
    """The visit lists: one file with all of history at `begin`, then hourly, each also holding the hour before.

    In the file stamped `spoil_at` three rows of its last hour are unreadable; the next file holds them whole.
    """
    history = [csv_row(r, local) for r in records if r.start < begin and r.box in history_boxes]
    files = [File(csv_name(begin, local), csv_file(history), begin + DELAY_S)]
    rows = [(r.start, csv_row(r, local)) for r in records if r.start >= begin - HOUR_S and r.box in boxes]
    missed = 0
    for stamp in stamps(begin, until):
        if silence and silence.first <= stamp <= silence.last:
            missed += 1
            continue
        since = stamp - (2 + missed) * HOUR_S
        missed = 0
        chosen = [row for start, row in rows if since <= start < stamp]
        if stamp == spoil_at:
            chosen = spoil(chosen)
        files.append(File(csv_name(stamp, local), csv_file(chosen), stamp + DELAY_S))
    return files


def csv_name(stamp: int, local: LocalTime) -> str:
    """`milkings_20260504_0700.csv`, in local time."""
    return f"milkings_{local.wall(stamp):%Y%m%d_%H%M}.csv"


def split_name(what: str, stamp: int, local: LocalTime) -> str:
    """`visits_20260504_0700.csv` and `quarters_20260504_0700.csv`, in local time."""
    return f"{what}_{local.wall(stamp):%Y%m%d_%H%M}.csv"


def spoil(rows: Sequence[str]) -> list[str]:
    """The rows with the last three measured ones made unreadable: a day that is none, a letter in a number, torn.

    >>> spoil(["01.05.2026 06:00:00;1;7;done;5:00;70;1;9,1;4,80;" + ";".join("abcdefghijklmnopq")] * 3)[0][:19]
    '32.05.2026 06:00:00'
    """
    spoilt = list(rows)
    measured = [i for i, row in enumerate(rows) if ";done;" in row][-3:]
    if len(measured) < 3:
        return spoilt
    day, number, torn = measured
    spoilt[day] = "32" + spoilt[day][2:]
    cells = spoilt[number].split(";")
    spoilt[number] = ";".join([*cells[:8], cells[8] + "x", *cells[9:]])
    spoilt[torn] = ";".join(spoilt[torn].split(";")[:11])
    return spoilt


def icar_files(
    records: Sequence[Record], boxes: frozenset[str], begin: int, until: int, mistyped: Sequence[Mistyped]
) -> list[File]:
    """Collections of the visits ended since the one before; a correction comes again when it was made."""
    wrong = {(m.cow, m.start): m for m in mistyped}
    mine = [r for r in records if r.start >= begin and r.box in boxes and r.outcome != "refused"]
    by_key = {(r.cow, r.start): r for r in mine}
    files = []
    for stamp in stamps(begin + DELAY_S - ICAR_STEP_S, until + DELAY_S, ICAR_STEP_S):
        items = []
        for record in mine:
            ended = record.start + record.duration_s
            if stamp - ICAR_STEP_S < ended <= stamp:
                slip = wrong.get((record.cow, record.start))
                items.append(icar_visit(record, ended, slip.wrong_kg if slip else None))
        for slip in mistyped:
            if stamp - ICAR_STEP_S < slip.corrected_at <= stamp:
                items.append(icar_visit(by_key[slip.cow, slip.start], slip.corrected_at))
        files.append(File(icar_name(stamp), icar_file(items), stamp))
    return files


def icar_name(stamp: int) -> str:
    """`visits_20260504T0600Z.json`, in UTC."""
    return f"visits_{datetime.fromtimestamp(stamp, UTC):%Y%m%dT%H%MZ}.json"


def box_log_files(events: Sequence[Event], local: LocalTime, begin: int, until: int, cut: frozenset[int]) -> list[File]:
    """The boxes' log every hour, each file holding the last six; the ones stamped in `cut` end half-way."""
    files = []
    for stamp in [begin, *stamps(begin, until)]:
        content = box_log_file([e for e in events if stamp - LOG_SPAN_S <= e.at < stamp], local)
        if stamp in cut:
            content = content[: len(content) // 2]
        files.append(File(box_log_name(stamp, local), content, stamp + DELAY_S))
    return files


def box_log_name(stamp: int, local: LocalTime) -> str:
    """`boxlog_2026-05-04_0600.xlsx`, in local time."""
    return f"boxlog_{local.wall(stamp):%Y-%m-%d_%H%M}.xlsx"


def herd_files(
    herd: Herd, local: LocalTime, when: Iterable[int], faults: Faults, dried: Mapping[str, int]
) -> list[File]:
    """The herd list at each stamp: one row per cow, as she stands, and since when."""
    withheld = {w.cow: w.start for w in faults.withheld}
    files = []
    for stamp in when:
        rows: list[list[Cell]] = []
        for i, number in enumerate(herd.numbers):
            calved = herd.calved_on[i]
            stage, since, allowed = "milking", local.at(f"{calved} 00:00"), int(herd.allowed[i])
            if not herd.milking[i]:
                stage, since = "dry", since + 310 * DAY_S
            if number in dried and dried[number] < stamp:
                stage, since, allowed = "dry", dried[number], 0
            if number in withheld and withheld[number] < stamp:
                stage, since = "withheld", withheld[number]
            part = "dry" if stage == "dry" else "first lactation" if herd.lactation[i] == 1 else "older"
            rows.append([int(number), part, int(herd.lactation[i]), calved, STAGES[stage], allowed, local.wall(since)])
        name = f"herd_{local.wall(stamp):%Y-%m-%d_%H%M}.xlsx"
        files.append(File(name, herd_file(rows), stamp + DELAY_S))
    return files


def tank_files(
    p: Parameters,
    records: Sequence[Record],
    withheld: Mapping[str, int],
    local: LocalTime,
    days: Sequence[str],
    rng: Generator,
) -> list[File]:
    """The tank's own readings every four hours, one file a day at 05:00 with those of the day before.

    The milk is collected every second day at 09:30; each time the buyer's laboratory result follows in the file
    (figures are an assumption, well within 400,000 cells and 100,000 bacteria per ml, Regulation (EC) 853/2004).
    """
    starts = np.array([r.start for r in records])
    kept = [r.milk_kg if r.start < withheld.get(r.cow, r.start + 1) else 0.0 for r in records]
    poured = np.concatenate([[0.0], np.cumsum(np.array(kept) / KG_PER_LITRE)])
    collections = [local.at(f"{day} 09:30") for day in days[::2]]
    collections = [collections[0] - 4 * DAY_S, collections[0] - 2 * DAY_S, *collections]
    files = []
    for day in days:
        stamp = local.at(f"{day} 05:00")
        items: list[dict[str, Any]] = []
        for at in stamps(stamp - DAY_S, stamp, 4 * HOUR_S):
            emptied = max(c for c in collections if c <= at)
            litres = poured[np.searchsorted(starts, at)] - poured[np.searchsorted(starts, emptied)]
            warmer = 0.9 if at - emptied < 5 * HOUR_S else 0.0
            items.append(
                {
                    "vessel": "1",
                    "read": local.wall(at).isoformat(sep=" "),
                    "celsius": round(p.tank_C + warmer + 0.15 * float(rng.standard_normal()), 1),
                    "litres": round(float(litres)),
                }
            )
        items += [
            {
                "vessel": "1",
                "read": local.wall(c).isoformat(sep=" "),
                "cells": round(float(178 * np.exp(0.06 * rng.standard_normal()))),
                "plate": round(float(12 * np.exp(0.15 * rng.standard_normal()))),
            }
            for c in collections
            if stamp - 2 * DAY_S <= c < stamp - DAY_S
        ]
        files.append(File(f"tank_{day}.jsonl", lines_file(items), stamp + DELAY_S))
    return files
