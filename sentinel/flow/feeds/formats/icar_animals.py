"""What the ICAR ADE standard says of an animal besides her milkings: her state, her lactation, her tests.

Sources: ICAR ADE 1.4, the resources named in `COW_KINDS` and `TEST_KINDS`, as modelled by ICAR-pydantic 1.4. Each item
gives a row of `cows` that says only what has changed (`partial`), true from the event's own moment on; together the
rows of a cow are her state at any time (`tables/herd_list`). What the standard leaves open is settled here:

- An animal's own resource has no moment: its row is true from `meta.validFrom`, else `meta.modified`, else from when
  the file was written. Withdrawn, dead or off the farm she is gone. Animals that are not female are passed over.
- `Dry` and `Lead` (before she calves; the meaning is from memory) are dry, `Fresh`, `Early` and `Lactating` in milk.
- A calving that does not say its number makes the number of her lactation unknown; an abortion tells nothing.
- A withdrawal of milk lasts until its `endDateTime`, one of a treatment until the latest `endDate` for milk; one
  without an end is told and not kept, as nothing says when it is over. Of other products nothing is kept.
- Her group is the set that she joined last, by its `id`, as a join has no name for it. Sets whose purpose is a
  session, health, a movement or reproduction are no groups. That she left one without joining another says nothing.
- Somatic cells are SCC, in 1000/ml (NCL); the milk of the day is milkWeight24Hours.
- The end of an IcarLactationResource is not kept: it is the same word for dried off, dead and calved again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.flow.feeds.formats.icar_item import NOTHING_LOST, Item, Row, name_in
from sentinel.flow.feeds.formats.icar_part import MASS_CODES, WEIGHT, Part
from sentinel.flow.feeds.values import MOST
from sentinel.flow.reasons import Reason
from sentinel.flow.tables.herd_list import GONE

_LACTATION = {"Dry": "dry", "Lead": "dry", "Fresh": "milking", "Early": "milking", "Lactating": "milking"}
_NO_GROUPS = ("Session", "Health", "Movement", "Reproduction")
_CELL_UNITS = ("", "NCL", "1000/ml", "x1000 cells/ml")


def _moments(part: Part, zone: str, written_at: int) -> int:
    """From when a resource without an event's moment is true."""
    meta = part.part("meta", "IcarMetaDataType")
    for name in ("validFrom", "modified"):
        moment = meta.moment(name)
        if moment is not None:
            return moment
    return written_at


def _day(moment: int, zone: str) -> int:
    """The farm's midnight that began the day of a moment."""
    here = datetime.fromtimestamp(moment, UTC).astimezone(ZoneInfo(zone))
    return _midnight(here.date(), zone)


def _midnight(day: date, zone: str) -> int:
    return int(datetime(day.year, day.month, day.day, tzinfo=ZoneInfo(zone)).timestamp())


def _begin(event: Part, item: Item, animal: str = "animal", moment: str = "eventDateTime") -> bool:
    """Read whom an event is about and when it was; whether both could be."""
    whose = event.part(animal, "IcarAnimalIdentifierType", needed=True)
    item.who = "" if animal in event.unread else name_in(whose, "id", needed=True)
    item.start = event.moment(moment, needed=True) if moment else None
    return not item.faults


def _put(event: Part, item: Item, table: str = "cows", **values: Any) -> None:
    """The row that an event gives, if it says anything."""
    told = {name: value for name, value in values.items() if value is not None}
    meta = event.part("meta", "IcarMetaDataType")
    deleted = bool(meta.value("isDeleted"))
    if not told and not deleted:
        return
    key = {"cow": item.who, ("from" if table == "cows" else "at"): item.start}
    versions = {"modified": meta.moment("modified"), "deleted": deleted if "meta" in event.given else None}
    marks = {"partial": True} if table == "cows" else {}
    row = {**key, **told, **marks, **{name: value for name, value in versions.items() if value is not None}}
    item.add(table, Row(row, NOTHING_LOST))


def _animal(event: Part, item: Item, zone: str, written_at: int) -> None:
    ready = _begin(event, item, "identifier", "")
    item.start = _moments(event, zone, written_at)
    if not ready or str(event.given.get("gender") or "Female").startswith("Male"):
        return
    meta = event.part("meta", "IcarMetaDataType")
    status, lactation = event.value("status"), event.value("lactationStatus")
    gone = bool(meta.value("isDeleted")) or (status is not None and status.value in ("Dead", "OffFarm"))
    said = GONE if gone else None if lactation is None else _LACTATION[lactation.value]
    if said is not None:
        row = {"cow": item.who, "from": item.start, "status": said, "partial": True}
        modified = meta.moment("modified")
        item.add("cows", Row(row | ({} if modified is None else {"modified": modified}), NOTHING_LOST))


def _status_observed(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item):
        observed = event.value("observedStatus")
        _put(event, item, status=None if observed is None else _LACTATION[observed.value])


def _calved(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item) and item.start is not None:
        day = _day(item.start, zone)
        _put(event, item, status="milking", calved_on=day, lactation=event.value("damParity"))


def _lactation(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item, moment="beginDate") and item.start is not None:
        parity = event.number("parity")
        number = None if parity is None else round(parity)
        _put(event, item, status="milking", calved_on=_day(item.start, zone), lactation=number)


def _dried_off(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item):
        _put(event, item, status="dry")


def _withdrawal(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item):
        product = event.value("productType")
        if product is not None and product.value == "Milk":
            _put(event, item, withheld_until=event.moment("endDateTime", needed=True))


def _treated(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item):
        ends = [end for one in _treatments(event) for end in _milk_ends(one)]
        _put(event, item, withheld_until=max(ends, default=None))


def _treatments(event: Part) -> list[Part]:
    """The event itself, and the treatments of a programme."""
    return [event, *event.parts("treatments", "IcarTreatmentEventResource")]


def _milk_ends(treatment: Part) -> list[int]:
    """Until when the milk is withheld after a treatment, once for each market."""
    ends = []
    for one in treatment.parts("withdrawals", "IcarMedicineWithdrawalType"):
        product = one.value("productType")
        if product is not None and product.value == "Milk":
            end = one.moment("endDate", needed=True)
            ends += [] if end is None else [end]
    return ends


def _arrived(event: Part, item: Item, zone: str, written_at: int) -> None:
    if not _begin(event, item):
        return
    state = event.part("animalState", "IcarAnimalStateType")
    detail = event.part("animalDetail", "IcarAnimalCoreResource")
    parity, calved, dried = (
        state.number("currentLactationParity"),
        *(state.value(name) for name in ("lastCalvingDate", "lastDryingOffDate")),
    )
    lactation = detail.value("lactationStatus")
    status = None if lactation is None else _LACTATION[lactation.value]
    if status is None and calved is not None:
        status = "dry" if dried is not None and dried >= calved else "milking"
    day = None if calved is None else _midnight(calved, zone)
    _put(event, item, status=status, calved_on=day, lactation=None if parity is None else round(parity))


def _left(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item):
        _put(event, item, status=GONE)


def _joined(event: Part, item: Item, zone: str, written_at: int) -> None:
    if _begin(event, item):
        _put(event, item, group=name_in(event, "animalSetId", needed=True) or None)


def _set(event: Part, item: Item, zone: str, written_at: int) -> None:
    """A set of animals and who is in it."""
    name, purpose = name_in(event, "id", needed=True), event.value("purpose")
    if item.faults or (purpose is not None and purpose.value in _NO_GROUPS):
        return
    since = _moments(event, zone, written_at)
    for member in event.parts("member", "IcarAnimalIdentifierType", most=MOST_MEMBERS):
        cow = name_in(member, "id", needed=True)
        if cow:
            item.add("cows", Row({"cow": cow, "from": since, "group": name, "partial": True}, NOTHING_LOST))


MOST_MEMBERS = 20_000
"""So many animals may be in one set."""


def _tested(event: Part, item: Item, zone: str, written_at: int) -> None:
    if not _begin(event, item):
        return
    milk = event.amount("milkWeight24Hours", WEIGHT, MASS_CODES, "kg")
    cells = [
        _cells(one)
        for one in event.parts("milkCharacteristics", "IcarMilkCharacteristicsType")
        if one.given.get("characteristic") == "SCC"
    ]
    _put(event, item, "cow_tests", cells_k_ml=cells[0] if cells else None, milk_kg=milk)


def _cells(one: Part) -> float | None:
    """Somatic cells in 1000/ml; the standard writes the value as text."""
    written, unit = one.value("value", needed=True), one.value("unit")
    if one.unread:
        return None
    if (unit or "").strip() not in _CELL_UNITS:
        one.fault("unit", "unit-unknown", unit=f'"{unit[:60]}"', words=", ".join(_CELL_UNITS[1:]))
        return None
    try:
        value = float(written)
    except ValueError:
        value = math.nan
    if 0 <= value <= MOST:
        return value
    one.misread("value", Reason("not-a-number", what=f'SCC: "{written[:60]}"'))
    return None


Reader = Callable[[Part, Item, str, int], None]

COW_KINDS: Mapping[str, tuple[str, Reader]] = {
    "icaranimalcore": ("IcarAnimalCoreResource", _animal),
    "icarlactationstatusobservedevent": ("IcarLactationStatusObservedEventResource", _status_observed),
    "icarreproparturitionevent": ("IcarReproParturitionEventResource", _calved),
    "icarlactation": ("IcarLactationResource", _lactation),
    "icarmilkingdryoffevent": ("IcarMilkingDryOffEventResource", _dried_off),
    "icarwithdrawalevent": ("IcarWithdrawalEventResource", _withdrawal),
    "icartreatmentevent": ("IcarTreatmentEventResource", _treated),
    "icartreatmentprogramevent": ("IcarTreatmentProgramEventResource", _treated),
    "icarmovementarrivalevent": ("IcarMovementArrivalEventResource", _arrived),
    "icarmovementdepartureevent": ("IcarMovementDepartureEventResource", _left),
    "icarmovementdeathevent": ("IcarMovementDeathEventResource", _left),
    "icaranimalsetjoinevent": ("IcarAnimalSetJoinEventResource", _joined),
    "icaranimalset": ("IcarAnimalSetResource", _set),
}
"""By the kind of resource, as `kind_of_resource` writes it: its name in the standard's model, and what reads it."""

TEST_KINDS: Mapping[str, tuple[str, Reader]] = {
    "icartestdayresultevent": ("IcarTestDayResultEventResource", _tested),
}
