"""A milking visit of the ICAR ADE standard (IcarMilkingVisitEventResource), and its quarters, from one item.

What the standard leaves open is settled here:

- `outcome`: the remark MilkingIncomplete or `milkingComplete: false` is `not_whole`, as the standard has no word for a
  visit at which nothing was attached: the milk tells whether it was incomplete or failed; it failed if there was none.
  `milkingComplete: true` is `milked`; where neither is told it is missing, not guessed; where neither says that the
  milking was not whole, and one of them cannot be read, it is `unknown`. A remark that the standard does not have
  changes nothing where `milkingComplete` is told.
- `duration_s` is milkingVisitDuration; an export without it gives milkingDuration.
- `attach_s` is milkingVisitDuration less milkingDuration, the nearest thing to it. It holds the walking in and out as
  well, so only its change tells something of the box, and the boxes of another dialect attach in fewer seconds.
- A quarter without icarQuarterId, which is optional, cannot be told from the others and is left out. One that is given
  twice, and not alike, is left out too: nothing says which of the two it is, or whose the other one is.
- conductivity is AVGCOND, or MAXCOND for a quarter without it; both are defined at 25 °C and in mS/cm (H61).
- positions have no unit in the standard and are taken as millimetres.
- remarks about the cow's sampling or health have no column and are not kept.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from typing import Any

from sentinel.flow.feeds.formats.icar_item import NOTHING_LOST, Item, Row, name_in
from sentinel.flow.feeds.formats.icar_part import DURATION, DURATION_CODES, MASS_CODES, WEIGHT, Part
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import NOT_WHOLE, UNKNOWN

VISIT_OPTIONAL = ("box", "duration_s", "outcome", "milk_kg", "attach_s", "modified", "deleted")
QUARTER_OPTIONAL = ("box", "conductivity_mS_cm", "milk_kg", "x_mm", "y_mm", "z_mm", "modified", "deleted")
_QUARTER_SOURCES = {"quarterMilkingWeight": "milk_kg", "xposition": "x_mm", "yposition": "y_mm", "zposition": "z_mm"}
_SHARED = ("cow", "start", "box", "modified", "deleted")

REMARKS = ("AnimalSick", "MilkingIncomplete", "TeatSeparated", "MilkedSeparately", "SamplingFailed")
"""The remarks of the standard."""


def read_visit(event: Part, item: Item) -> None:
    """The visit and its quarters, as far as they can be read."""
    animal = event.part("animal", "IcarAnimalIdentifierType", needed=True)
    item.who = "" if "animal" in event.unread else name_in(animal, "id", needed=True)
    item.start = event.moment("milkingStartingDateTime", needed=True)
    keyless = bool(item.faults)
    item.box = name_in(event, "milkingBoxNumber")
    if keyless:
        return
    visit = _visit(event, item)
    shared = {name: visit.values[name] for name in _SHARED if name in visit.values}
    item.add("visits", visit)
    for quarter in _quarters(event, shared, visit.lost & set(_SHARED)):
        item.add("quarters", quarter)


def _visit(event: Part, item: Item) -> Row:
    """The row of the visit."""
    meta = event.part("meta", "IcarMetaDataType")
    milk = event.amount("milkingMilkWeight", WEIGHT, MASS_CODES, "kg")
    stay = event.amount("milkingVisitDuration", DURATION, DURATION_CODES, "s")
    milking = event.amount("milkingDuration", DURATION, DURATION_CODES, "s")
    visit = {
        "cow": item.who,
        "start": item.start,
        "box": item.box or None,
        "duration_s": stay if stay is not None or "milkingVisitDuration" in event.unread else milking,
        "outcome": _outcome(event, milk),
        "milk_kg": milk,
        "modified": meta.moment("modified"),
        "deleted": bool(meta.value("isDeleted")) if "meta" in event.given else None,
    }
    if stay is not None and milking and stay >= milking:
        visit["attach_s"] = stay - milking
    sources = {"milkingBoxNumber": "box", "milkingVisitDuration": "duration_s", "milkingMilkWeight": "milk_kg"}
    lost = {column for source, column in sources.items() if source in event.unread}
    lost |= {"attach_s"} if {"milkingVisitDuration", "milkingDuration"} & event.unread else set()
    lost |= {"modified"} if "modified" in meta.unread else set()
    return Row({name: value for name, value in visit.items() if value is not None}, lost or NOTHING_LOST)


def _outcome(event: Part, milk_kg: float | None) -> str | None:
    """How the visit ended, as far as it is told."""
    complete = event.value("milkingComplete")
    remarks = event.entries("milkingRemarks")
    strange = [one for one in remarks if one not in REMARKS]
    for one in strange:
        event.faults.append(Reason("remark-unknown", name='"milkingRemarks"', word=f'"{str(one)[:60]}"'))
    if not all(isinstance(one, str) for one in remarks):
        event.unread.add("milkingRemarks")
    if complete is False or "MilkingIncomplete" in remarks:
        return "failed" if milk_kg == 0 else NOT_WHOLE
    if {"milkingComplete", "milkingRemarks"} & event.unread or (strange and complete is None):
        return UNKNOWN
    return "milked" if complete else None


def _quarters(event: Part, shared: Mapping[str, Any], lost: Set[str]) -> list[Row]:
    """The rows of the quarters of which it is said which they are."""
    rows: dict[str, Row] = {}
    unlike: set[str] = set()
    for quarter in event.parts("quarterMilkings", "IcarQuarterMilkingType"):
        row = _quarter(quarter)
        code = quarter.value("icarQuarterId")
        if code is None:
            if row.values and "icarQuarterId" not in quarter.unread:
                quarter.fault("", "quarter-unnamed")
        elif row.values or shared.get("deleted"):
            if rows.setdefault(code.value, row) != row:
                unlike.add(code.value)
    for name in sorted(unlike):
        event.fault("quarterMilkings", "quarter-twice", quarter=name)
    return [
        Row({**shared, **row.values, "quarter": name}, lost | row.lost or NOTHING_LOST)
        for name, row in rows.items()
        if name not in unlike
    ]


def _quarter(quarter: Part) -> Row:
    """The values of one quarter."""
    noted = len(quarter.faults)
    conductivity = _conductivity(quarter)
    lost = {"conductivity_mS_cm"} if len(quarter.faults) > noted else set()
    values = {
        "conductivity_mS_cm": conductivity,
        "milk_kg": quarter.amount("quarterMilkingWeight", WEIGHT, MASS_CODES, "kg"),
        "x_mm": quarter.number("xposition"),
        "y_mm": quarter.number("yposition"),
        "z_mm": quarter.number("zposition"),
    }
    lost |= {column for source, column in _QUARTER_SOURCES.items() if source in quarter.unread}
    return Row({name: value for name, value in values.items() if value is not None}, lost or NOTHING_LOST)


def _conductivity(quarter: Part) -> float | None:
    """mS/cm at 25 °C: the mean, or the maximum where there is no mean."""
    values = {}
    for one in quarter.parts("icarQuarterCharacteristics", "IcarMilkCharacteristicsType"):
        kind = one.given.get("characteristic")
        if kind in ("AVGCOND", "MAXCOND"):
            values[kind] = one
    chosen = values.get("AVGCOND") or values.get("MAXCOND")
    return None if chosen is None else chosen.conductivity()
