"""What a herd computer that speaks ICAR ADE (1.4) says of its cows besides their milkings, in the standard's resources.

How often a cow may be milked, the boxes' own log and the bulk tank have no place in the standard.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

import pandas as pd

from sentinel.flow.model import DAY_S
from sentinel.simulator.exports.icar_collection import SCHEME, weight
from sentinel.simulator.local_time import rfc3339

LACTATION_STATUS = {"milking": "Lactating", "withheld": "Lactating", "dry": "Dry"}

STILL_WITHHELD_S = 5 * DAY_S
"""Milk that is still withheld when the exports end is so for some days more."""


def event(kind: str, cow: str, at: int, **values: Any) -> dict[str, Any]:
    """An event of a cow; a value of None is not written."""
    told = {name: value for name, value in values.items() if value is not None}
    source = f"{kind}-{cow}-{at}"
    return {
        "resourceType": kind,
        "id": source,
        "meta": {"source": SCHEME, "sourceId": source, "modified": rfc3339(at)},
        "animal": {"id": cow, "scheme": SCHEME},
        "eventDateTime": rfc3339(at),
        **told,
    }


def animal(cow: str, at: int, status: str) -> dict[str, Any]:
    """A cow as she stands."""
    return {
        "resourceType": "icarAnimalCoreResource",
        "meta": {"source": SCHEME, "sourceId": cow, "modified": rfc3339(at)},
        "identifier": {"id": cow, "scheme": SCHEME},
        "specie": "Cattle",
        "gender": "Female",
        "status": "Alive",
        "lactationStatus": LACTATION_STATUS[status],
    }


def lactation(cow: str, calved: int, parity: float, at: int) -> dict[str, Any]:
    """The lactation that a cow is in, or was in last."""
    source = f"lactation-{cow}-{calved}"
    return {
        "resourceType": "icarLactationResource",
        "id": source,
        "meta": {"source": SCHEME, "sourceId": source, "modified": rfc3339(at)},
        "animal": {"id": cow, "scheme": SCHEME},
        "beginDate": rfc3339(calved),
        "parity": parity,
    }


def herd_events(cows: pd.DataFrame) -> list[tuple[int, dict[str, Any]]]:
    """Every resource about the cows' states with its moment, in order of time, from the rows of `cows`."""
    found: list[tuple[int, dict[str, Any]]] = []
    for cow, rows in cows.sort_values(["cow", "from"], kind="stable").groupby("cow"):
        found += _of_cow(
            str(cow), [{str(name): value for name, value in row.items()} for row in rows.to_dict("records")]
        )
    return sorted(found, key=lambda one: (one[0], one[1]["meta"]["sourceId"]))


def _of_cow(cow: str, rows: Sequence[dict[str, Any]]) -> Iterator[tuple[int, dict[str, Any]]]:
    """The resources about one cow."""
    before: dict[str, Any] = {}
    for place, row in enumerate(rows):
        at, status = int(row["from"]), str(row["status"])
        if not before:
            yield at, animal(cow, at, status)
            yield at, lactation(cow, int(row["calved_on"]), row["lactation"], at)
        elif row["calved_on"] != before["calved_on"]:
            yield at, event("icarReproParturitionEventResource", cow, at, damParity=int(row["lactation"]))
        elif status == "dry" != before["status"]:
            yield at, event("icarMilkingDryOffEventResource", cow, at)
        if status == "withheld" and before.get("status") != "withheld":
            later = (int(one["from"]) for one in rows[place:] if one["status"] != "withheld")
            ends = rfc3339(next(later, at + STILL_WITHHELD_S))
            yield at, event("icarWithdrawalEventResource", cow, at, endDateTime=ends, productType="Milk")
        if row["group"] != before.get("group"):
            yield at, event("icarAnimalSetJoinEventResource", cow, at, animalSetId=row["group"])
        before = row


def left(cow: str, at: int) -> dict[str, Any]:
    """A cow that has left the herd."""
    return event("icarMovementDepartureEventResource", cow, at, departureKind="Sale")


def tests(rows: pd.DataFrame) -> list[dict[str, Any]]:
    """The results of one test day: milk of the day in kg, somatic cells in 1000/ml (UN/CEFACT code NCL)."""
    items = []
    for cow, at, cells, kg in zip(rows["cow"], rows["at"], rows["cells_k_ml"], rows["milk_kg"], strict=True):
        scc = [{"characteristic": "SCC", "value": f"{cells:.0f}", "unit": "NCL"}]
        milk = weight(round(float(kg), 1))
        kind = "icarTestDayResultEventResource"
        items.append(event(kind, str(cow), int(at), milkWeight24Hours=milk, milkCharacteristics=scc))
    return items


def pages(items: Sequence[dict[str, Any]], size: int, first: str) -> list[bytes]:
    """A collection in pages of `size` items, each with its number; `first` is the address of the first one."""
    cut = [items[begin : begin + size] for begin in range(0, len(items), size)] or [[]]
    view = {"totalItems": len(items), "totalPages": len(cut), "pageSize": size, "first": first}
    return [
        json.dumps({"view": {**view, "currentPage": number}, "member": page}, separators=(",", ":")).encode() + b"\n"
        for number, page in enumerate(cut, 1)
    ]
