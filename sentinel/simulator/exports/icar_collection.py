"""The second dialect: milking visits as collections of the open ICAR ADE JSON standard (version 1.4).

Visits without milking (sent on) have no place in the standard and are left out; a milking that failed is a visit
that is not complete, with no milk or a drop of it. The time the milking took, where it is written, is that of the visit
less the time to attach and that of walking in and out.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from math import isnan
from typing import Any

from sentinel.flow.model import QUARTERS
from sentinel.simulator.exports.record import Quarter, Record
from sentinel.simulator.local_time import rfc3339

SCHEME = "example.brindlewhin"
"""Reverse domain of the farm's own cow numbers; `example` is a reserved name."""


WALKING_S = 35, 50
"""How long a cow takes to walk in and out, from and to (as at all boxes: `boxes.traffic`)."""


def seconds(value: float) -> dict[str, Any]:
    """A duration in seconds (UN/CEFACT code SEC)."""
    return {"unitCode": "SEC", "value": value}


def milking_seconds(record: Record) -> int | None:
    """How long the milking itself took; None where the cups were not attached, or the visit was too short to say."""
    if record.outcome == "failed" or isnan(record.attach_s):
        return None
    least, most = WALKING_S
    walking = least + record.start % (most - least + 1)  # no dice: the record stays as it is in the other dialects
    milking = round(record.duration_s - record.attach_s - walking)
    return milking if milking > 0 else None


def weight(kg: float) -> dict[str, Any]:
    """A milk weight in kilograms (UN/CEFACT code KGM)."""
    return {"unitCode": "KGM", "value": kg}


def icar_quarter(name: str, quarter: Quarter) -> dict[str, Any]:
    """One quarter: teat position, weight, mean conductivity at 25 °C in mS/cm (UN/CEFACT code H61)."""
    x, y, z = quarter.teat_mm
    item: dict[str, Any] = {"icarQuarterId": name}
    if not isnan(x):
        item |= {"xposition": x, "yposition": y, "zposition": z}
    item["quarterMilkingWeight"] = weight(quarter.milk_kg)
    if not isnan(quarter.conductivity):
        item["icarQuarterCharacteristics"] = [
            {"characteristic": "AVGCOND", "value": f"{quarter.conductivity:.2f}", "unit": "H61"}
        ]
    return item


def icar_visit(record: Record, modified: int, milk_kg: float | None = None, *, timed: bool = False) -> dict[str, Any]:
    """One milking visit; `milk_kg` overrides the weight (for a row that was typed wrong), `timed` adds how long the
    milking took."""
    item: dict[str, Any] = {
        "resourceType": "icarMilkingVisitEventResource",
        "id": f"{record.box}-{record.start}-{record.cow}",
        "meta": {
            "source": SCHEME,
            "sourceId": f"{record.box}-{record.start}-{record.cow}",
            "modified": rfc3339(modified),
        },
        "animal": {"id": record.cow, "scheme": SCHEME},
        "eventDateTime": rfc3339(record.start),
        "milkingStartingDateTime": rfc3339(record.start),
        "milkingVisitDuration": seconds(record.duration_s),
        "milkingType": "Automated",
        "milkingMilkWeight": weight(record.milk_kg if milk_kg is None else milk_kg),
        "milkingComplete": record.outcome == "milked",
        "milkingBoxNumber": record.box,
    }
    milking = milking_seconds(record) if timed else None
    if milking is not None:
        item["milkingDuration"] = seconds(milking)
    measured = [(name, q) for name, q in zip(QUARTERS, record.quarters, strict=True) if not isnan(q.milk_kg)]
    if measured:
        item["quarterMilkings"] = [icar_quarter(name, quarter) for name, quarter in measured]
    if record.outcome == "incomplete":
        item["milkingRemarks"] = ["MilkingIncomplete"]
    return item


def icar_file(items: Sequence[dict[str, Any]]) -> bytes:
    """A collection, one visit a line."""
    lines = [json.dumps(item, separators=(",", ":"), ensure_ascii=False) for item in items]
    view = json.dumps({"totalItems": len(items), "totalPages": 1, "currentPage": 1}, separators=(",", ":"))
    return ('{"view":' + view + ',"member":[\n' + ",\n".join(lines) + "\n]}\n").encode()
