"""Figures of true things that are counted in the rows and files that tell of them."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import datetime
from itertools import pairwise
from typing import Any

import pandas as pd

from sentinel.flow.model import HOUR_S
from sentinel.simulator.exports.arrivals import csv_name, stamps
from sentinel.simulator.exports.files import export_files
from sentinel.simulator.exports.visit_list import COLUMNS, ENCODING
from sentinel.simulator.simulated import Simulated

Figures = dict[str, Any]


def counted(herd: Simulated) -> list[dict[str, Any]]:
    """The herd's true things, with further figures beside those that were planned."""
    files = {file.name: file.content for file in sorted(export_files(herd), key=lambda file: file.arrives_at)}
    counts: Mapping[str, Callable[[dict[str, Any]], Figures]] = {
        "arm-out-of-line": lambda item: _tried(herd, item),
        "filter-forgotten": lambda item: _through_the_filter(herd, item),
        "cow-fails-everywhere": lambda item: _failed_by_box(herd, item),
        "once-a-day": lambda item: _longest(herd, item),
        "export-stopped": lambda item: _missing(herd, files),
        "rows-unreadable": lambda item: _unreadable(files[item["subject"].rpartition("/")[2]]),
        "row-corrected": lambda item: _sent_in(item, files),
    }
    items = []
    for item in herd.items:
        more = counts[item["kind"]](item) if item["kind"] in counts else {}
        items.append({**item, "figures": {**item["figures"], **more}})
    return items


def _seconds(text: str) -> int:
    return int(datetime.fromisoformat(text).timestamp())


def _visits(herd: Simulated, since: int, until: int, **where: str) -> pd.DataFrame:
    visits = herd.tables.visits
    rows = (visits["start"] >= since) & (visits["start"] < until)
    for column, value in where.items():
        rows &= visits[column] == value
    return visits[rows]


def _tried(herd: Simulated, item: dict[str, Any]) -> Figures:
    box = item["subject"].removeprefix("box:")
    outcome = _visits(herd, _seconds(item["from"]), _seconds(item["until"]), box=box)["outcome"]
    return {"tried": int((outcome != "refused").sum()), "missed": int((outcome == "failed").sum())}


def _through_the_filter(herd: Simulated, item: dict[str, Any]) -> Figures:
    box = item["subject"].removeprefix("box:")
    visits = _visits(herd, _seconds(item["figures"]["last_done"]), _seconds(item["until"]), box=box)
    return {"milkings": int((visits["milk_kg"] > 0).sum())}


def _failed_by_box(herd: Simulated, item: dict[str, Any]) -> Figures:
    cow = item["subject"].removeprefix("cow:")
    failed = _visits(herd, _seconds(item["from"]), _seconds(item["until"]), cow=cow, outcome="failed")
    return {"failed_by_box": {str(box): int(n) for box, n in failed["box"].value_counts().sort_index().items()}}


def _longest(herd: Simulated, item: dict[str, Any]) -> Figures:
    cow, begin = item["subject"].removeprefix("cow:"), _seconds(item["from"])
    milked = _visits(herd, 0, 1 << 60, cow=cow, outcome="milked")["start"].tolist()
    longest = max((back - last for last, back in pairwise(milked) if back >= begin), default=0)
    return {"longest_hours": round(longest / HOUR_S, 2)}


def _missing(herd: Simulated, files: Mapping[str, bytes]) -> Figures:
    names = [csv_name(stamp, herd.calendar.local) for stamp in stamps(herd.exports.first, herd.calendar.until)]
    missing = [name for name in names if name not in files]
    return {"missing": missing, "all_in": next(name for name in names if missing and name > missing[-1])}


def _unreadable(content: bytes) -> Figures:
    rows = content.decode(ENCODING).split("\r\n")[:-1]
    return {"lines": [n for n, row in enumerate(rows, start=1) if n > 1 and not _readable(row)]}


def _readable(row: str) -> bool:
    """Whether a row of the visit list is whole: all its cells, a day that exists, numbers that are numbers."""
    cells = row.split(";")
    return len(cells) == len(COLUMNS) and int(cells[0][:2]) <= 31 and not cells[8].endswith("x")


def _sent_in(item: dict[str, Any], files: Mapping[str, bytes]) -> Figures:
    visit = item["subject"].removeprefix("cow:"), item["figures"]["start"]
    names = [
        name
        for name, content in files.items()
        if name.endswith(".json")
        and any(
            (sent["animal"]["id"], sent["milkingStartingDateTime"]) == visit for sent in json.loads(content)["member"]
        )
    ]
    return {"first_in": names[0], "corrected_in": names[1]}
