"""Reading milking visits in the open ICAR ADE JSON standard, with no feed map.

Source: ICAR Animal Data Exchange (ADE) 1.3 and 1.4, resource IcarMilkingVisitEventResource, as modelled by the package
ICAR-pydantic 1.4. A file is a collection (an object with a `member` list) or a bare list; each item is checked by
itself, so that one bad item is set aside with its number (from 1) and the others go on.

What the standard leaves open is settled here:

- `outcome`: the remark MilkingIncomplete or `milkingComplete: false` is `incomplete`, or `failed` if no milk was got;
  `milkingComplete: true` is `milked`; where neither is told it is missing, not guessed.
- `duration_s` is milkingVisitDuration; an export without it gives milkingDuration.
- conductivity is AVGCOND, or MAXCOND for a quarter without it; both are defined at 25 °C and in mS/cm (H61).
- positions have no unit in the standard and are taken as millimetres.
- remarks about the cow's sampling or health have no column and are not kept.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from sentinel.flow.mapping.decoding import marked_encoding
from sentinel.flow.mapping.json_lines import has_half_characters
from sentinel.flow.mapping.raw import set_aside, storable
from sentinel.flow.mapping.units import conversion
from sentinel.flow.model import Batch, Export, Rows, SetAside

MASS_CODES = {"KGM": "kg", "GRM": "g", "LBR": "lb"}
"""UN/CEFACT Recommendation 20 codes of masses (from memory; KGM stands in the ICAR schema)."""

DURATION_CODES = {"SEC": "s", "MIN": "min", "HUR": "h"}
"""UN/CEFACT Recommendation 20 codes of durations (SEC and MIN stand in the ICAR schema; HUR from memory)."""

CONDUCTIVITY_CODES = {"H61": "mS/cm", "G42": "uS/cm", "D10": "S/m"}
"""UN/CEFACT Recommendation 20 codes of conductivity (H61 stands in ICAR ADE 1.3; the others from memory)."""

_ALSO_WRITTEN = {"mS/cm": "mS/cm", "uS/cm": "uS/cm", "µS/cm": "uS/cm", "μS/cm": "uS/cm", "S/m": "S/m"}

_VISIT_OPTIONAL = ("box", "duration_s", "outcome", "milk_kg", "modified", "deleted")
_QUARTER_OPTIONAL = ("box", "conductivity_mS_cm", "milk_kg", "x_mm", "y_mm", "z_mm", "modified", "deleted")
_QUARTER_VALUES = ("conductivity_mS_cm", "milk_kg", "x_mm", "y_mm", "z_mm")


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
        found = _load(export.content)
    except ValueError:
        return False
    return isinstance(found, dict) and found.get("member") == []  # an empty page


def read_icar(export: Export, feed: str = "icar") -> Batch:
    """Visits and quarters of a collection of milking visits. Never raises for what is in the file."""
    batch = Batch(feed, export.name, sha256=hashlib.sha256(export.content).hexdigest())
    try:
        items = _items(_load(export.content))
    except ValueError as error:
        return Batch(feed, export.name, (), (SetAside(0, "", storable(str(error))),), None, batch.sha256)
    visits: list[dict[str, Any]] = []
    quarters: list[dict[str, Any]] = []
    visit_lines: list[int] = []
    quarter_lines: list[int] = []
    aside: list[SetAside] = []
    for number, item in enumerate(items, start=1):
        try:
            visit, four = _visit(item)
        except (ValueError, OverflowError) as error:
            aside.append(set_aside(number, _shown(item), f"item {number}: {error}"))
            continue
        visits.append(visit)
        visit_lines.append(number)
        quarters.extend(four)
        quarter_lines.extend([number] * len(four))
    rows = (
        _rows("visits", ("cow", "start"), _VISIT_OPTIONAL, visits, visit_lines),
        _rows("quarters", ("cow", "start", "quarter"), _QUARTER_OPTIONAL, quarters, quarter_lines),
    )
    return Batch(feed, export.name, tuple(r for r in rows if r.values), tuple(aside), None, batch.sha256)


def _load(content: bytes) -> Any:
    """The JSON of a file; raises ValueError with a sentence."""
    encoding, skip = marked_encoding(content)
    try:
        return json.loads(content[skip:].decode(encoding or "utf-8"))
    except UnicodeDecodeError as error:
        raise ValueError(f"it is not UTF-8 text, as JSON must be (byte {error.start + 1})") from error
    except RecursionError as error:
        raise ValueError("it is nested too deeply to be a list of milking visits") from error
    except json.JSONDecodeError as error:
        raise ValueError(
            f"it is not valid JSON: {error.msg} in line {error.lineno}; was it copied completely?"
        ) from error
    except ValueError as error:
        raise ValueError(f"it is not valid JSON: {error}") from error


def _items(found: Any) -> list[Any]:
    """The items of a collection, of a bare list, or one item by itself."""
    if isinstance(found, list):
        return found
    if isinstance(found, dict) and isinstance(found.get("member"), list):
        return list(found["member"])
    if isinstance(found, dict) and found.get("member", 0) is None:
        return []
    if isinstance(found, dict) and "milkingStartingDateTime" in found:
        return [found]
    raise ValueError('it has neither a list of milking visits nor an object whose "member" is one')


def _shown(item: Any) -> str:
    try:
        return json.dumps(item, ensure_ascii=False)
    except RecursionError:
        return ""


def _rows(
    table: str, key: tuple[str, ...], optional: Sequence[str], found: list[dict[str, Any]], lines: list[int]
) -> Rows:
    """Rows with the key and those optional columns that some item carries."""
    columns = (*key, *(name for name in optional if any(row.get(name) is not None for row in found)))
    return Rows(table, columns, tuple(tuple(row.get(n) for n in columns) for row in found), tuple(lines))


# --- one item --------------------------------------------------------------------------------------------


def _visit(item: Any) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """A visit and its quarters from one item; raises ValueError with the reason it cannot be read."""
    if not isinstance(item, dict):
        raise ValueError("is not an object")
    kind = str(item.get("resourceType", ""))
    if kind and "milkingvisit" not in kind.lower():
        raise ValueError(f'is a "{kind}", not a milking visit')
    if has_half_characters(item):
        raise ValueError("holds half a character (a lone surrogate), which no text may")
    event = _checked(item)
    cow = event.animal.id.strip()
    if not cow:
        raise ValueError("animal.id is empty")
    shared = {"cow": cow, "start": _moment(event.milkingStartingDateTime, "milkingStartingDateTime")}
    if event.milkingBoxNumber and event.milkingBoxNumber.strip():
        shared["box"] = event.milkingBoxNumber.strip()
    if event.meta is not None:
        shared["modified"] = _moment(event.meta.modified, "meta.modified")
        shared["deleted"] = bool(event.meta.isDeleted)
    milk = _finite(event.milkingMilkWeight.value, "milkingMilkWeight")
    visit = shared | {"milk_kg": milk, "outcome": _outcome(event, milk)}
    for duration in (event.milkingDuration, event.milkingVisitDuration):
        if duration is not None and duration.value is not None:
            visit["duration_s"] = _finite(duration.value, "duration")
    quarters = [one for quarter in event.quarterMilkings or [] for one in _quarter(quarter, shared)]
    codes = [row["quarter"] for row in quarters]
    if len(set(codes)) < len(codes):
        raise ValueError("gives one quarter twice")
    return visit, quarters


def _checked(item: Mapping[str, Any]) -> Any:
    """The item as the package's model of it, weights and durations first turned into kg and seconds."""
    from icar.resources import IcarMilkingVisitEventResource  # noqa: PLC0415  (500 ms to load; few farms need it)

    try:
        return IcarMilkingVisitEventResource.model_validate(_in_our_units(item))
    except ValidationError as error:
        first, *more = error.errors()
        path = ".".join(str(step) for step in first["loc"])
        others = f" (and {len(more)} more)" if more else ""
        raise ValueError(f"{path}: {_plain_message(first)}{others}") from error


def _plain_message(error: Any) -> str:
    if error["type"] == "missing":
        return "is missing"
    given = error["input"]
    shown = "" if isinstance(given, dict | list) else f" (found {str(given)[:60]!r})"
    return str(error["msg"])[:1].lower() + str(error["msg"])[1:] + shown


def _in_our_units(item: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of an item with known weights in KGM and known durations in SEC; the rest is left to the check."""
    copy = dict(item)
    for key in ("milkingVisitDuration", "milkingDuration"):
        copy[key] = _measured(copy.get(key), DURATION_CODES, "s", "SEC")
    if "milkingMilkWeight" in copy:
        copy["milkingMilkWeight"] = _measured(copy["milkingMilkWeight"], MASS_CODES, "kg", "KGM")
    if isinstance(copy.get("quarterMilkings"), list):
        copy["quarterMilkings"] = [
            one | {"quarterMilkingWeight": _measured(one.get("quarterMilkingWeight"), MASS_CODES, "kg", "KGM")}
            if isinstance(one, dict)
            else one
            for one in copy["quarterMilkings"]
        ]
    return copy


def _measured(given: Any, codes: Mapping[str, str], unit: str, code: str) -> Any:
    """`{unitCode, value}` in another unit; anything else comes back as it is."""
    if not isinstance(given, dict) or not isinstance(given.get("unitCode"), str):
        return given
    value = given.get("value")
    if given["unitCode"] == code or given["unitCode"] not in codes:
        return given
    if isinstance(value, bool) or not isinstance(value, int | float):
        return given
    return given | {"unitCode": code, "value": conversion(codes[given["unitCode"]], unit)(float(value))}


def _outcome(event: Any, milk_kg: float) -> str | None:
    """How the visit ended, as far as it is told."""
    remarks = {remark.value for remark in event.milkingRemarks or []}
    if event.milkingComplete is False or "MilkingIncomplete" in remarks:
        return "failed" if milk_kg == 0 else "incomplete"
    return "milked" if event.milkingComplete else None


def _quarter(quarter: Any, shared: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """The row of one quarter; none if it does not say which quarter and holds nothing, or holds nothing at all."""
    row = dict(shared)
    if quarter.quarterMilkingWeight is not None:
        row["milk_kg"] = _finite(quarter.quarterMilkingWeight.value, "quarterMilkingWeight")
    for name, value in (("x_mm", quarter.xposition), ("y_mm", quarter.yposition), ("z_mm", quarter.zposition)):
        if value is not None:
            row[name] = _finite(value, "position")
    found = {one.characteristic: one for one in quarter.icarQuarterCharacteristics or []}
    chosen = found.get("AVGCOND") or found.get("MAXCOND")
    if chosen is not None:
        row["conductivity_mS_cm"] = _conductivity(chosen)
    if all(name not in row for name in _QUARTER_VALUES) and not row.get("deleted"):
        return
    if quarter.icarQuarterId is None:
        raise ValueError("icarQuarterId is missing: it is not said which quarter was measured")
    yield row | {"quarter": quarter.icarQuarterId.value}


def _conductivity(one: Any) -> float:
    """mS/cm at 25 °C; the standard writes the value as text."""
    try:
        value = _finite(float(one.value), one.characteristic)
    except ValueError:
        raise ValueError(f'{one.characteristic}: "{one.value[:60]}" is not a number') from None
    unit = (one.unit or "H61").strip()
    unit = CONDUCTIVITY_CODES.get(unit, _ALSO_WRITTEN.get(unit, ""))
    if not unit:
        raise ValueError(f'{one.characteristic}: the unit "{one.unit}" is not known here (H61 is mS/cm)')
    return conversion(unit, "mS/cm")(value)


def _finite(value: float, name: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{name}: {value} is not a number")
    return float(value)


def _moment(moment: datetime, name: str) -> int:
    """UTC seconds; the standard wants RFC 3339, which says how far from UTC it is."""
    if moment.tzinfo is None:
        raise ValueError(f'{name}: "{moment.isoformat()}" does not say its offset from UTC, as RFC 3339 must')
    if not 1980 <= moment.year <= 2100:
        raise ValueError(f'{name}: "{moment.isoformat()}" is not a moment on this farm')
    return int(moment.timestamp() // 1)
