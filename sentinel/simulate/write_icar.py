"""The second dialect: milking visits as collections of the open ICAR ADE JSON standard (version 1.4).

Visits without milking (sent on) have no place in the standard and are left out; a milking that failed is a visit
without milk that is not complete.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from math import isnan
from typing import Any

from sentinel.flow.model import QUARTERS
from sentinel.simulate.record import Quarter, Record
from sentinel.simulate.times import rfc3339

SCHEME = "example.brindlewhin"
"""Reverse domain of the farm's own cow numbers; `example` is a reserved name."""


def weight(kg: float) -> dict[str, Any]:
    """A milk weight in kilograms (UN/CEFACT code KGM)."""
    return {"unitCode": "KGM", "value": kg}


def icar_quarter(name: str, quarter: Quarter) -> dict[str, Any]:
    """One quarter: teat position, weight, mean conductivity at 25 °C in mS/cm (UN/CEFACT code H61)."""
    x, y, z = quarter.teat_mm
    return {
        "icarQuarterId": name,
        "xposition": x,
        "yposition": y,
        "zposition": z,
        "quarterMilkingWeight": weight(quarter.milk_kg),
        "icarQuarterCharacteristics": [
            {"characteristic": "AVGCOND", "value": f"{quarter.conductivity:.2f}", "unit": "H61"}
        ],
    }


def icar_visit(record: Record, modified: int, milk_kg: float | None = None) -> dict[str, Any]:
    """One milking visit; `milk_kg` overrides the weight (for a row that was typed wrong)."""
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
        "milkingVisitDuration": {"unitCode": "SEC", "value": record.duration_s},
        "milkingType": "Automated",
        "milkingMilkWeight": weight(record.milk_kg if milk_kg is None else milk_kg),
        "milkingComplete": record.outcome == "milked",
        "milkingBoxNumber": record.box,
    }
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
