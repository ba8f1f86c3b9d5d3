"""Reading milking visits in the open ICAR ADE JSON standard, with no feed map.

Source: ICAR Animal Data Exchange (ADE) 1.3 and 1.4, resource IcarMilkingVisitEventResource, as modelled by the package
ICAR-pydantic 1.4. A file is a collection (an object with a `member` list) or a bare list; each item is read by
itself, value by value. What of an item cannot be read is told with its number (from 1) and path and is left out; the
visit and all else of it are kept. Without who and when (animal.id, milkingStartingDateTime) an item is no visit and is
set aside whole. What has no column here is not looked at.

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

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from typing import Any

from sentinel.flow.bounds import USUAL, Bounds, cut
from sentinel.flow.feeds.formats.decoding import marked_encoding
from sentinel.flow.feeds.formats.icar_part import DURATION, DURATION_CODES, MASS_CODES, WEIGHT, Part
from sentinel.flow.feeds.formats.json_items import Items
from sentinel.flow.feeds.formats.raw import SetAsides, whole_file
from sentinel.flow.feeds.unread import Lost, placed_in_time
from sentinel.flow.model import Batch, Export, Rows
from sentinel.flow.reasons import Reason, Unreadable
from sentinel.flow.tables import NOT_WHOLE, UNKNOWN

_VISIT_OPTIONAL = ("box", "duration_s", "outcome", "milk_kg", "attach_s", "modified", "deleted")
_QUARTER_OPTIONAL = ("box", "conductivity_mS_cm", "milk_kg", "x_mm", "y_mm", "z_mm", "modified", "deleted")
_QUARTER_SOURCES = {"quarterMilkingWeight": "milk_kg", "xposition": "x_mm", "yposition": "y_mm", "zposition": "z_mm"}
_SHARED = ("cow", "start", "box", "modified", "deleted")

NOTHING_LOST: Set[str] = frozenset()
"""One for all rows: an empty set of its own takes as much as the rest of a quarter."""

REMARKS = ("AnimalSick", "MilkingIncomplete", "TeatSeparated", "MilkedSeparately", "SamplingFailed")
"""The remarks of the standard."""


def looks_like_icar(export: Export) -> bool:
    """Whether a file is meant to be milking visits in ICAR ADE JSON (it may still be damaged)."""
    start = export.content.lstrip(b"\xef\xbb\xbf\xff\xfe\x00 \t\r\n")[:1]
    if start not in (b"{", b"["):
        return False
    plain = export.content.replace(b"\x00", b"") if b"\x00" in export.content[:16] else export.content
    if b'"milkingStartingDateTime"' in plain or b'"icarMilkingVisitEvent' in plain.replace(b'"Icar', b'"icar'):
        return True
    if len(plain) > 2000 or not export.name.lower().endswith(".json"):
        return False
    try:
        items = Items(plain.lstrip(b"\xef\xbb\xbf\xff\xfe").decode())
        return (
            not list(items) and items.listed and plain.lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")[:1] == b"{"
        )  # an empty page
    except (ValueError, RecursionError):
        return False


def read_icar(export: Export, feed: str = "icar", bounds: Bounds = USUAL) -> Batch:
    """Visits and quarters of a collection of milking visits. Never raises for what is in the file; one that is larger
    than the `bounds` is set aside whole."""
    batch = Batch(feed, export.name, sha256=hashlib.sha256(export.content).hexdigest())
    items: list[_Item] = []
    aside = SetAsides(bounds.reasons)
    try:
        for number, item in enumerate(_items(export.content, bounds), 1):
            if number > bounds.rows:
                raise Unreadable(bounds.too_many_rows)
            item_rows = _read_item(item)
            if item_rows.faults:
                _tell(aside, number, item, item_rows)
                item_rows.faults = []
            items.append(item_rows)
    except Unreadable as error:
        return replace(batch, set_aside=(whole_file(error.reason, "visits"),))
    rows = (
        *_rows("visits", ("cow", "start"), _VISIT_OPTIONAL, [item_rows.visits for item_rows in items]),
        *_rows("quarters", ("cow", "start", "quarter"), _QUARTER_OPTIONAL, [item_rows.quarters for item_rows in items]),
    )
    return replace(batch, rows=rows, set_aside=tuple(placed_in_time(aside, rows)))


def _tell(aside: SetAsides, number: int, item: Any, item_rows: _Item) -> None:
    """Set aside what could not be read of an item, with what is known of it all the same."""
    made = aside.made(number, item, Reason("item", n=number, why=Lost(item_rows.faults).reason), _shown)
    kept, moment, who, box = bool(item_rows.visits), item_rows.start, cut(item_rows.who), cut(item_rows.box)
    aside.append(replace(made, kept=kept, tab=item_rows.tab, who=who, box=box, begin=moment, end=moment))


def _items(content: bytes, bounds: Bounds) -> Iterator[Any]:
    """The items of a collection, of a bare list, or one item by itself; raises Unreadable."""
    if len(content) > bounds.size:
        raise Unreadable(bounds.too_large)
    encoding, skip = marked_encoding(content)
    try:
        items = Items(content[skip:].decode(encoding or "utf-8"))
        yield from items
    except UnicodeDecodeError as error:
        raise Unreadable(Reason("json-not-utf8", n=error.start + 1)) from error
    except RecursionError as error:
        raise Unreadable(Reason("json-too-deep")) from error
    except json.JSONDecodeError as error:
        raise Unreadable(Reason("json-broken-at", detail=error.msg, n=error.lineno)) from error
    except Unreadable:
        raise
    except ValueError as error:
        raise Unreadable(Reason("json-broken", detail=str(error))) from error
    if items.listed or items.rest.get("member", 0) is None:
        return
    if "milkingStartingDateTime" in items.rest:
        yield items.rest
        return
    raise Unreadable(Reason("json-no-list"))


def _shown(item: Any) -> str:
    try:
        return json.dumps(item, ensure_ascii=False)
    except RecursionError:
        return ""


def _rows(
    table: str,
    key: tuple[str, ...],
    optional: Sequence[str],
    rows_of_items: Sequence[Sequence[_Row]],
) -> Iterator[Rows]:
    """Rows with the key and those optional columns that some item carries; items are numbered from 1.

    Rows of which a column could not be read stand apart without it, so that it keeps what another export said.
    """
    parts: dict[tuple[str, ...], tuple[list[dict[str, Any]], list[int]]] = {}
    for number, of_item in enumerate(rows_of_items, 1):
        for one in of_item:
            rows, lines = parts.setdefault(tuple(sorted(one.lost)), ([], []))
            rows.append(one.values)
            lines.append(number)
    carried = [
        name for name in optional if any(row.get(name) is not None for rows, _ in parts.values() for row in rows)
    ]
    for lost, (rows, lines) in parts.items():
        columns = (*key, *(name for name in carried if name not in lost))
        yield Rows(table, columns, tuple(tuple(row.get(n) for n in columns) for row in rows), tuple(lines))


# --- one item --------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Row:
    """What is known of a visit or a quarter, and the columns of it that could not be read."""

    values: dict[str, Any]
    lost: Set[str]


@dataclass(slots=True)
class _Item:
    """What one item gave: its visit (one, or none), its quarters, and why something could not be read.

    `tab` is "" if it was no milking visit.
    """

    faults: list[Reason] = field(default_factory=list)
    visits: list[_Row] = field(default_factory=list)
    quarters: list[_Row] = field(default_factory=list)
    tab: str = "visits"
    who: str = ""
    box: str = ""
    start: int | None = None


def _read_item(given: Any) -> _Item:
    """A visit and its quarters from one item, as far as it can be read."""
    item = _Item()
    if not isinstance(given, dict):
        item.faults.append(Reason("not-an-object"))
        return item
    kind = given.get("resourceType")
    if isinstance(kind, str) and kind and "milkingvisit" not in kind.lower():
        item.tab = ""
        item.faults.append(Reason("not-a-visit", kind=f'"{kind[:60]}"'))
        return item
    event = Part("IcarMilkingVisitEventResource", given, "", item.faults)
    animal = event.part("animal", "IcarAnimalIdentifierType", needed=True)
    item.who = "" if "animal" in event.unread else _name(animal, "id", needed=True)
    item.start = event.moment("milkingStartingDateTime", needed=True)
    keyless = bool(item.faults)
    item.box = _name(event, "milkingBoxNumber")
    if keyless:
        return item
    visit = _visit(event, item)
    shared = {name: visit.values[name] for name in _SHARED if name in visit.values}
    item.visits.append(visit)
    item.quarters.extend(_quarters(event, shared, visit.lost & set(_SHARED)))
    return item


def _name(part: Part, name: str, needed: bool = False) -> str:
    """A name without outer spaces; "" if it cannot be read."""
    text = str(part.value(name, needed) or "").strip()
    if needed and not text and name in part.given and name not in part.unread:
        part.fault(name, "value-empty")
    return text


def _visit(event: Part, item: _Item) -> _Row:
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
    return _Row({name: value for name, value in visit.items() if value is not None}, lost or NOTHING_LOST)


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


def _quarters(event: Part, shared: Mapping[str, Any], lost: Set[str]) -> list[_Row]:
    """The rows of the quarters of which it is said which they are."""
    rows: dict[str, _Row] = {}
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
        _Row({**shared, **row.values, "quarter": name}, lost | row.lost or NOTHING_LOST)
        for name, row in rows.items()
        if name not in unlike
    ]


def _quarter(quarter: Part) -> _Row:
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
    return _Row({name: value for name, value in values.items() if value is not None}, lost or NOTHING_LOST)


def _conductivity(quarter: Part) -> float | None:
    """mS/cm at 25 °C: the mean, or the maximum where there is no mean."""
    values = {}
    for one in quarter.parts("icarQuarterCharacteristics", "IcarMilkCharacteristicsType"):
        kind = one.given.get("characteristic")
        if kind in ("AVGCOND", "MAXCOND"):
            values[kind] = one
    chosen = values.get("AVGCOND") or values.get("MAXCOND")
    return None if chosen is None else chosen.conductivity()
