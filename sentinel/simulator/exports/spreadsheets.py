"""The third dialect: the boxes' log and the herd list as spreadsheets; and the tank's readings as JSON lines."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from sentinel.simulator.boxes.upkeep import Event
from sentinel.simulator.exports.workbook import Cell, xlsx_file
from sentinel.simulator.local_time import LocalTime

LOG_COLUMNS = ("When", "Stand", "Entry", "Remark")
LOG_WORDS = {
    "filter_changed": "new filter",
    "washed": "system wash ended",
    "optics_cleaned": "lens wiped",
    "arm_calibrated": "arm set",
    "stopped": "taken out",
    "started": "put back",
}
HERD_COLUMNS = ("Cow no", "Part of herd", "Lactation", "Calved", "Stage", "Visits a day", "So since")
STAGES = {"milking": "in milk", "dry": "dry", "withheld": "milk kept out"}


def box_log_file(events: Iterable[Event], local: LocalTime) -> bytes:
    """The boxes' log: local time, box, what was done, a remark."""
    rows = [(local.wall(e.at), int(e.box), LOG_WORDS[e.event], e.text or None) for e in sorted(events)]
    return xlsx_file("log", [LOG_COLUMNS, *rows])


def herd_file(rows: Iterable[Sequence[Cell]]) -> bytes:
    """The herd list: one row per cow as she stands."""
    return xlsx_file("herd", [HERD_COLUMNS, *rows])


def lines_file(items: Iterable[dict[str, Any]]) -> bytes:
    """One JSON object a line."""
    return "".join(json.dumps(item, ensure_ascii=False) + "\n" for item in items).encode()
