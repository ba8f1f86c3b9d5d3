"""Reading files of the open ICAR ADE JSON standard, with no feed map.

Source: ICAR Animal Data Exchange (ADE) 1.3 and 1.4, as modelled by the package ICAR-pydantic 1.4. A file is a
collection (an object with a `member` list), a page of one, a bare list, or one resource. Each item is read by itself,
value by value. What of an item cannot be read is told with its number (from 1) and path and is left out; all else of
it is kept. Without who and when an item gives no row and is set aside whole. What has no column here is not looked at,
and neither are the resources of the standard that say nothing for this job (inseminations, feeding, weights ...).

Milking visits, what is said of cows and test-day results are feeds of their own, also where one file holds several
(`ADE_FEEDS`): a calving of this morning says nothing of how far the visits are known. What a visit says is settled in
`icar_visit`, what an animal's resources do in `icar_animals`.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from sentinel.flow.again_and_pages import Page
from sentinel.flow.bounds import USUAL, Bounds, cut
from sentinel.flow.feeds.formats.decoding import marked_encoding
from sentinel.flow.feeds.formats.icar_animals import COW_KINDS, TEST_KINDS
from sentinel.flow.feeds.formats.icar_item import Item, Row
from sentinel.flow.feeds.formats.icar_part import Part
from sentinel.flow.feeds.formats.icar_visit import QUARTER_OPTIONAL, VISIT_OPTIONAL, read_visit
from sentinel.flow.feeds.formats.json_items import Items
from sentinel.flow.feeds.formats.raw import SetAsides, whole_file
from sentinel.flow.feeds.unread import Lost, placed_in_time
from sentinel.flow.model import Batch, Export, Rows
from sentinel.flow.reasons import Reason, Unreadable
from sentinel.flow.tables import COW_TESTS, COWS, QUARTER_ROWS, VISITS, Table

ICAR, ICAR_COWS, ICAR_TESTS, ICAR_OTHER = "icar", "icar-cows", "icar-tests", "icar-other"

ADE_FEEDS: Mapping[str, tuple[str, ...]] = {
    ICAR: (VISITS.name, QUARTER_ROWS.name),
    ICAR_COWS: (COWS.name,),
    ICAR_TESTS: (COW_TESTS.name,),
}
"""The feeds that need no map, and the tables that each fills; what nothing is read of is counted under `ICAR_OTHER`."""

ADE_PACES: Mapping[str, str] = {ICAR: "hourly", ICAR_COWS: "weekly", ICAR_TESTS: "monthly"}
"""How often they come until somebody says so or their files tell (our choice, no source)."""

_TABLES = ((VISITS, ICAR), (QUARTER_ROWS, ICAR), (COWS, ICAR_COWS), (COW_TESTS, ICAR_TESTS))
_OPTIONAL: Mapping[str, Sequence[str]] = {VISITS.name: VISIT_OPTIONAL, QUARTER_ROWS.name: QUARTER_OPTIONAL}
_VISIT = "icarmilkingvisitevent"
_RESOURCE = re.compile(rb'"resourceType"\s*:\s*"[^"]{0,200}icar', re.IGNORECASE)


def looks_like_icar(export: Export) -> bool:
    """Whether a file is meant to be in ICAR ADE JSON (it may still be damaged)."""
    start = export.content.lstrip(b"\xef\xbb\xbf\xff\xfe\x00 \t\r\n")[:1]
    if start not in (b"{", b"["):
        return False
    plain = export.content.replace(b"\x00", b"") if b"\x00" in export.content[:16] else export.content
    if b'"milkingStartingDateTime"' in plain or _RESOURCE.search(plain):
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


def kind_of_resource(given: str) -> str:
    """What a resource is, however it is written: by its short name, with capitals or without, or as an address.

    >>> kind_of_resource("IcarMilkingVisitEventResource"), kind_of_resource("https://example/icarLactationResource.json")
    ('icarmilkingvisitevent', 'icarlactation')
    """
    name = given.rstrip("/").rpartition("/")[2].removesuffix(".json").lower()
    return name.removesuffix("resource")


def read_icar(export: Export, zone: str = "UTC", bounds: Bounds = USUAL) -> Batch:
    """What a file gives for the first feed of which it holds anything, and `besides` for the others.

    `zone` is the farm's, for the days of calvings.
    Never raises for what is in the file; one that is larger than the `bounds` is set aside whole.
    """
    empty = Batch(ICAR, export.name, sha256=hashlib.sha256(export.content).hexdigest())
    taken: dict[str, _Taken] = {}
    opened = _Opened()
    try:
        for number, given in enumerate(_items(export.content, bounds, opened), 1):
            if number > bounds.rows:
                raise Unreadable(bounds.too_many_rows)
            item = _read_item(given, zone, export.modified_at)
            of_feed = taken.setdefault(item.feed, _Taken(SetAsides(bounds.reasons), []))
            if item.faults:
                _tell(of_feed.aside, number, given, item)
                item.faults = []
            of_feed.items.append((number, item))
    except Unreadable as error:
        return replace(empty, set_aside=(whole_file(error.reason, VISITS.name),))
    page = _page(opened.rest.get("view"))
    if not taken:
        return empty
    batches = []
    for feed in sorted(taken, key=[*ADE_FEEDS, ICAR_OTHER].index):
        rows = tuple(part for table, its in _TABLES if its == feed for part in _rows(table, taken[feed].items))
        aside = tuple(placed_in_time(taken[feed].aside, rows))
        batches.append(replace(empty, feed=feed, rows=rows, set_aside=aside, page=page))
    return replace(batches[0], besides=tuple(batches[1:]))


@dataclass(frozen=True, slots=True)
class _Taken:
    """What a file holds of one feed: what was set aside, and the items with their numbers."""

    aside: SetAsides
    items: list[tuple[int, Item]]


@dataclass(slots=True)
class _Opened:
    """What a collection says besides its items, once they were taken."""

    rest: Mapping[str, Any] = field(default_factory=dict)


def _page(view: Any) -> Page | None:
    """Which page of which collection a file is; None if it is no page of several."""
    if not isinstance(view, dict):
        return None
    number, pages, total = (
        value if isinstance(value := view.get(name), int) and not isinstance(value, bool) else None
        for name in ("currentPage", "totalPages", "totalItems")
    )
    if number is None or pages is None or not 1 <= number <= pages <= MOST_PAGES or pages == 1:
        return None
    return Page(cut(f"{view.get('first') or ''} {total}"), number, pages)


MOST_PAGES = 10_000
"""So many pages a collection may have for a missing one to be told."""


def _tell(aside: SetAsides, number: int, given: Any, item: Item) -> None:
    """Set aside what could not be read of an item, with what is known of it all the same."""
    made = aside.made(number, given, Reason("item", n=number, why=Lost(item.faults).reason), _shown)
    kept, moment, who, box = bool(item.rows), item.start, cut(item.who), cut(item.box)
    aside.append(replace(made, kept=kept, tab=item.tab, who=who, box=box, begin=moment, end=moment))


def _items(content: bytes, bounds: Bounds, opened: _Opened) -> Iterator[Any]:
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
    opened.rest = items.rest
    if items.listed or items.rest.get("member", 0) is None:
        return
    if "milkingStartingDateTime" in items.rest or "resourceType" in items.rest:
        yield items.rest
        return
    raise Unreadable(Reason("json-no-list"))


def _shown(item: Any) -> str:
    try:
        return json.dumps(item, ensure_ascii=False)
    except RecursionError:
        return ""


def _read_item(given: Any, zone: str, written_at: int) -> Item:
    """What one item gives, as far as it can be read."""
    item = Item(ICAR, VISITS.name)
    if not isinstance(given, dict):
        item.faults.append(Reason("not-an-object"))
        return item
    written = given.get("resourceType")
    kind = kind_of_resource(written) if isinstance(written, str) and written else _VISIT
    if "milkingvisit" in kind:
        read_visit(Part("IcarMilkingVisitEventResource", given, "", item.faults), item)
        return item
    for feed, table, kinds in ((ICAR_COWS, COWS.name, COW_KINDS), (ICAR_TESTS, COW_TESTS.name, TEST_KINDS)):
        if kind in kinds:
            item = Item(feed, table)
            model, read = kinds[kind]
            read(Part(model, given, "", item.faults), item, zone, written_at)
            return item
    item.tab = ""
    if kind in _of_the_standard():
        item.feed = ICAR_OTHER
    else:
        item.faults.append(Reason("not-of-the-standard", kind=f'"{str(written)[:60]}"'))
    return item


@lru_cache(maxsize=1)
def _of_the_standard() -> frozenset[str]:
    """Every kind of resource that the standard has."""
    import icar.resources  # noqa: PLC0415  (500 ms to load; few farms need it)

    return frozenset(kind_of_resource(name) for name in dir(icar.resources) if name.endswith("Resource"))


def _rows(table: Table, items: Sequence[tuple[int, Item]]) -> Iterator[Rows]:
    """Rows with the key and those optional columns that some item carries; items are numbered from 1.

    Rows of which a column could not be read stand apart without it, so that it keeps what another export said; so do
    those of a cow's state that say less than others.
    """
    optional = _OPTIONAL.get(table.name)
    parts: dict[tuple[str, ...], tuple[list[Row], list[int]]] = {}
    for number, item in items:
        for name, row in item.rows:
            if name == table.name:
                apart = tuple(sorted(row.lost)) if optional else tuple(row.values)
                rows, lines = parts.setdefault(apart, ([], []))
                rows.append(row)
                lines.append(number)
    every = [row.values for rows, _ in parts.values() for row in rows]
    carried = [name for name in optional or () if any(row.get(name) is not None for row in every)]
    for apart, (rows, lines) in parts.items():
        columns = (*table.key, *(name for name in carried if name not in apart)) if optional else apart
        yield Rows(table.name, columns, tuple(tuple(row.values.get(n) for n in columns) for row in rows), tuple(lines))
