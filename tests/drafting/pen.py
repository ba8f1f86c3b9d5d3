"""How one sample is written: its units, titles, times and marks, every choice drawn from its seed."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

DUBLIN = ZoneInfo("Europe/Dublin")

UNITS: dict[str, tuple[tuple[str, float, float, tuple[str, ...]], ...]] = {
    "kg": (
        ("kg", 1, 0, ("kg", "kg", "kilos")),
        ("lb", 1 / 0.45359237, 0, ("lb", "lbs")),
        ("l", 1 / 1.03, 0, ("l", "L", "ltr")),
    ),
    "mS/cm": (("mS/cm", 1, 0, ("mS/cm",)), ("uS/cm", 1000, 0, ("µS/cm", "uS/cm")), ("mS/m", 100, 0, ("mS/m",))),
    "degC": (("degC", 1, 0, ("°C", "C")), ("degF", 1.8, 32, ("°F", "F"))),
    "l": (("l", 1, 0, ("l", "L")),),
    "1000/ml": (("1000/ml", 1, 0, ("1000/ml", "x1000")), ("cells/ml", 1000, 0, ("/ml", "1/ml"))),
    "kg/min": (("kg/min", 1, 0, ("kg/min",)), ("lb/min", 1 / 0.45359237, 0, ("lb/min",))),
    "mm": (("mm", 1, 0, ("mm",)), ("cm", 0.1, 0, ("cm",))),
    "1/d": (("1/d", 1, 0, ("/d",)),),
}
"""Per unit of a column: the export's unit, its factor and offset, and how titles write it."""

RARE_UNITS: dict[str, tuple[tuple[str, float, float, tuple[str, ...]], ...]] = {
    "kg": (("g", 1000, 0, ("g",)),),
    "l": (
        ("hl", 0.01, 0, ("hl",)),
        ("gallon", 1 / 3.785411784, 0, ("gal",)),
        ("imperial_gallon", 1 / 4.54609, 0, ("gal",)),
    ),
}
"""Units that only dialects with a `structure` have."""

SPANS = (("s", ("s", "sec")), ("min", ("min",)), ("min:sec", ("min:s", "mm:ss")), ("h:min:sec", ("h:m:s",)))
MOMENTS = ("%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M", "%d/%m/%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p", "%m/%d/%Y %H:%M",
           "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M:%S", "%d-%m-%Y %H:%M", "%Y/%m/%d %H:%M:%S", "%y%m%d %H%M",
           "%Y%m%d%H%M%S", "epoch_s", "utc", "two")  # fmt: skip
DAYS = ("%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%Y-%m-%d", "%d-%m-%Y", "%Y%m%d")


class Pen:
    """How one sample is written; every choice is drawn from its seed."""

    def __init__(self, words: Mapping[str, Any], chance: np.random.Generator, strange: float) -> None:
        self.words, self.chance = words, chance
        self.strange, self.strangers = strange, np.random.default_rng(int(chance.bit_generator.seed_seq.entropy[0]))  # type: ignore[attr-defined]
        self.form = str(chance.choice(["delimited", "xlsx", "json_lines"], p=[0.76, 0.14, 0.1]))
        self.decimal = str(chance.choice([",", "."])) if self.form == "delimited" else "."
        self.delimiter = str(chance.choice([";", "\t", "|"] if self.decimal == "," else [";", ",", ",", "\t"]))
        self.missing = str(chance.choice(["", "", "", "-", "n/a", "NULL", "."])) if self.form == "delimited" else ""
        self.style = str(chance.choice(["plain", "plain", "upper", "snake", "camel"]))
        self.says_units = chance.random() < 0.5
        self.unit_style = str(chance.choice([" ({})", " [{}]", " {}", "_{}"]))
        self.moment = str(chance.choice(MOMENTS)) if self.form == "delimited" else "%Y-%m-%dT%H:%M:%S"
        self.day = self.moment.split()[0] if self.moment.split()[0] in DAYS else str(chance.choice(DAYS[:4]))
        if self.form == "json_lines":
            self.day = "%Y-%m-%d"
        self.units = {own: some[int(chance.choice(len(some), p=_weights(len(some))))] for own, some in UNITS.items()}
        self.span = SPANS[int(chance.choice(4, p=[0.5, 0.15, 0.25, 0.1]))]
        self.columns: list[tuple[str, list[Any]]] = []
        self.clock, self.pad, self.units_row, self.said = "%H:%M:%S", False, False, dict[str, str]()
        self.layout: Mapping[str, Any] = words.get("structure", {})
        if self.layout:
            self._laid_out()

    def _laid_out(self) -> None:
        """What the dialect's `structure` says of its files."""
        given = self.layout
        self.form, self.missing, self.style = given["form"], "", "plain"
        self.decimal = given.get("decimal", ".")
        self.delimiter = {"tab": "\t"}.get(given.get("delimiter", ","), given.get("delimiter", ","))
        self.moment = given["moment"]
        self.day = given.get("day", self.moment.split()[0])
        self.clock, self.pad = given.get("clock", self.clock), given.get("pad", False)
        self.says_units, self.units_row = given.get("says_units", False), given.get("units_row", False)
        self.span = next(one for one in SPANS if one[0] == given["span"])
        for own, some in UNITS.items():
            wanted = given["units"].get(own, own)
            self.units[own] = next(one for one in (*some, *RARE_UNITS.get(own, ())) if one[0] == wanted)

    def title(self, key: str) -> str:
        """One of the words for a column, in the sample's style."""
        said = self.words["others"].get(key) or self.words[key]
        ways = [one.strip() for one in said.split(" | ")]
        way = ways[int(self.chance.integers(len(ways)))]
        return self.styled(way if self.strangers.random() >= self.strange else self._no_word())

    def _no_word(self) -> str:
        """A word of no language."""
        letters = zip(
            self.strangers.choice(list("bdfgkmprvz"), 3), self.strangers.choice(list("aeiou"), 3), strict=True
        )
        return "".join(a + b for a, b in letters).capitalize() + "q"

    def styled(self, text: str) -> str:
        if self.style == "upper":
            return text.upper()
        parts = [p for p in re.split(r"[^\w%]+", text) if p]
        if self.style == "snake":
            return "_".join(p.lower() for p in parts)
        if self.style == "camel":
            return "".join(p[:1].upper() + p[1:] for p in parts)
        return text

    def add(self, title: str, cells: Sequence[Any]) -> str:
        """Put a column in; a title that is taken gets a number."""
        taken = {one for one, _ in self.columns}
        name, n = title, 2
        while name in taken:
            name, n = f"{title} {n}", n + 1
        self.columns.append((name, list(cells)))
        return name

    def number(self, value: float, places: int) -> Any:
        if pd.isna(value):
            return None
        if self.form != "delimited":
            return round(float(value), places) if places else round(float(value))
        return f"{value:.{places}f}".replace(".", self.decimal)

    def wall(self, at: float) -> datetime:
        return datetime.fromtimestamp(int(at), UTC).astimezone(DUBLIN).replace(tzinfo=None)

    def when(self, at: float, form: str) -> Any:
        if pd.isna(at):
            return None
        if form == "epoch_s":
            return str(int(at))
        if form == "utc":
            return f"{datetime.fromtimestamp(int(at), UTC):%Y-%m-%dT%H:%M:%SZ}"
        if self.form == "xlsx":
            return self.wall(at)
        return self.wall(at).strftime(form)


def _weights(count: int) -> list[float]:
    return [1.0] if count == 1 else [0.55] + [0.45 / (count - 1)] * (count - 1)
