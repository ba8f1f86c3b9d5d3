"""One object of an ICAR ADE item, read value by value by the standard's own types; what cannot be read is noted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from sentinel.flow.feeds.formats.json_lines import has_half_characters
from sentinel.flow.feeds.units import conversion
from sentinel.flow.feeds.values import MOST
from sentinel.flow.reasons import Reason, Value, as_said

MOST_ENTRIES = 100
"""No list within a visit has more: four quarters, a few remarks."""

MASS_CODES = {"KGM": "kg", "GRM": "g", "LBR": "lb"}
"""UN/CEFACT Recommendation 20 codes of masses (from memory; KGM stands in the ICAR schema)."""

DURATION_CODES = {"SEC": "s", "MIN": "min", "HUR": "h"}
"""UN/CEFACT Recommendation 20 codes of durations (SEC and MIN stand in the ICAR schema; HUR from memory)."""

CONDUCTIVITY_CODES = {"H61": "mS/cm", "G42": "uS/cm", "D10": "S/m"}
"""UN/CEFACT Recommendation 20 codes of conductivity (H61 stands in ICAR ADE 1.3; the others from memory)."""

_ALSO_WRITTEN = {"mS/cm": "mS/cm", "uS/cm": "uS/cm", "µS/cm": "uS/cm", "μS/cm": "uS/cm", "S/m": "S/m"}

WEIGHT, DURATION = "IcarMilkingMilkWeightType", "IcarMilkDurationType"


@dataclass(slots=True)
class Part:
    """One object of an item: `model` is its name in the standard's model, `path` where it stands in the item.

    `unread` are the names of its values that could not be read; `faults`, shared by all parts of an item, say why.
    """

    model: str
    given: Mapping[str, Any]
    path: str
    faults: list[Reason]
    unread: set[str] = field(default_factory=set)

    def fault(self, name: str, code: str, **values: Value) -> None:
        """Note by its code why the value of that name ("": the part itself) cannot be read."""
        self.unread.add(name)
        self.faults.append(Reason(code, name=f'"{self.at(name)}"', **values))

    def misread(self, name: str, why: Reason) -> None:
        """Note of what stands as the value of that name why it cannot be read."""
        self.unread.add(name)
        self.faults.append(Reason("at-place", place=f'"{self.at(name)}"', why=why))

    def at(self, name: str) -> str:
        """Where a value stands: `quarterMilkings.2.xposition`."""
        return ".".join(step for step in (self.path, name) if step)

    def value(self, name: str, needed: bool = False) -> Any:
        """A value as the standard has it; None if there is none or it cannot be read."""
        given = self.given.get(name)
        if given is None:
            if needed:
                self.fault(name, "value-missing")
            return None
        try:
            value = _reads(self.model, name).validate_python(given)
        except ValidationError as error:
            half = isinstance(given, str) and has_half_characters(given)
            if half:
                self.fault(name, "value-half-character")
            else:
                self.misread(name, as_said(_plain_message(error.errors()[0])))
            return None
        if isinstance(value, str) and not value.isascii() and has_half_characters(value):
            self.fault(name, "value-half-character")
            return None
        return value

    def number(self, name: str, needed: bool = False) -> float | None:
        """A finite number."""
        value = self.value(name, needed)
        if value is not None and math.isfinite(value) and abs(value) > MOST:
            self.misread(name, Reason("number-too-large", what=str(value)))
            return None
        if value is None or math.isfinite(value):
            return None if value is None else float(value)
        self.misread(name, Reason("not-a-number", what=str(value)))
        return None

    def moment(self, name: str, needed: bool = False) -> int | None:
        """UTC seconds; the standard wants RFC 3339, which says how far from UTC it is."""
        value: datetime | None = self.value(name, needed)
        if value is None:
            return None
        if value.tzinfo is None:
            self.misread(name, Reason("offset-missing", what=f'"{value.isoformat()}"'))
            return None
        if not 1980 <= value.year <= 2100:
            self.misread(name, Reason("not-on-this-farm", what=f'"{value.isoformat()}"'))
            return None
        return int(value.timestamp() // 1)

    def amount(self, name: str, model: str, codes: Mapping[str, str], unit: str) -> float | None:
        """A measured amount `{unitCode, value}` in a unit; a duration without its code is in seconds."""
        noted = len(self.faults)
        part = self.part(name, model)
        whole = model == WEIGHT and bool(part.given)
        value, code = part.number("value", needed=whole), part.given.get("unitCode")
        if isinstance(code, str) and code in codes:
            value = None if value is None else conversion(codes[code], unit)(value)
        elif code is not None:
            part.fault("unitCode", "unit-unknown", unit=f'"{str(code)[:60]}"', words=", ".join(codes))
        elif whole:
            part.fault("unitCode", "value-missing")
        if value is not None and not math.isfinite(value):
            part.misread("value", Reason("not-a-number", what=str(value)))
        if len(self.faults) > noted:
            self.unread.add(name)
            return None
        return value

    def conductivity(self) -> float | None:
        """A conductivity `{value, unit}` in mS/cm at 25 °C; the standard writes the value as text."""
        number, given = self.value("value", needed=True), self.value("unit")
        if self.unread:
            return None
        unit = (given or "H61").strip()
        unit = CONDUCTIVITY_CODES.get(unit, _ALSO_WRITTEN.get(unit, ""))
        kind = self.given["characteristic"]
        if not unit:
            name = f'"{self.path}": {kind}'
            self.unread.add("")
            self.faults.append(Reason("conductivity-unit-unknown", name=name, unit=f'"{given[:60]}"'))
            return None
        try:
            value = conversion(unit, "mS/cm")(float(number))
        except ValueError:
            value = math.nan
        if math.isfinite(value) and abs(value) <= MOST:
            return value
        self.misread("", Reason("not-a-number", what=f'{kind}: "{number[:60]}"'))
        return None

    def part(self, name: str, model: str, needed: bool = False) -> Part:
        """An object in it; an empty one if there is none or it is none."""
        given = self.given.get(name)
        if given is None and needed:
            self.fault(name, "value-missing")
        elif given is not None and not isinstance(given, dict):
            self.fault(name, "value-not-an-object")
        return Part(model, given if isinstance(given, dict) else {}, self.at(name), self.faults)

    def parts(self, name: str, model: str, most: int = MOST_ENTRIES) -> Iterator[Part]:
        """The objects of a list in it."""
        for place, given in enumerate(self.entries(name, most)):
            if isinstance(given, dict):
                yield Part(model, given, self.at(f"{name}.{place}"), self.faults)
            else:
                self.fault(f"{name}.{place}", "value-not-an-object")

    def entries(self, name: str, most: int = MOST_ENTRIES) -> list[Any]:
        """A list in it; an empty one if there is none or it is none."""
        given = self.given.get(name)
        if given is not None and not isinstance(given, list):
            self.fault(name, "value-not-a-list")
        if isinstance(given, list) and len(given) > most:
            self.fault(name, "value-too-many-entries", n=most)
            return []
        return given if isinstance(given, list) else []


@lru_cache(maxsize=128)
def _reads(model: str, name: str) -> TypeAdapter[Any]:
    """What reads a value of the standard's model."""
    import icar.resources  # noqa: PLC0415  (500 ms to load; few farms need it)
    import icar.types  # noqa: PLC0415

    model_class = getattr(icar.types, model, None) or getattr(icar.resources, model)
    return TypeAdapter(model_class.model_fields[name].annotation)


def _plain_message(error: Any) -> str:
    given = error["input"]
    shown = "" if isinstance(given, dict | list) else f" (found {str(given)[:60]!r})"
    return str(error["msg"])[:1].lower() + str(error["msg"])[1:] + shown
