"""Rows written as a sample export in a dialect, with what each column truly is."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import openpyxl
import pandas as pd

from sentinel.flow.model import QUARTERS, Export
from sentinel.flow.tables import QUARTER_VALUES, table_named

DUBLIN = ZoneInfo("Europe/Dublin")

TABLE_OF = {"visits and quarters": "visits", "laboratory": "tank"}
OTHERS = {
    "visits": "weight feed dim fat protein interval day_milk expected milk_temp transponder name flow row end activity",
    "quarters": "row milk_temp",
    "box_log": "operator row",
    "cows": "weight dim transponder name birth insemination due breed activity rumination day_milk row",
    "tank": "agitator row",
    "laboratory": "fat protein",
    "cow_tests": "lactation fat protein name",
}
OPTIONAL = 0.75
"""How often a field that is no key is in a sample."""

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


@dataclass(frozen=True, slots=True)
class Truth:
    """What one field truly is in a sample: its columns (one for each quarter, or a day and a clock), its true values.

    `values`: in the table's own unit, in the order of the file's rows; of moments UTC seconds; of words ours.
    """

    columns: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]
    kind: str

    @property
    def title(self) -> str:
        """How a draft calls its column: that of four quarters with `{quarter}` in place of their names."""
        if len(self.columns) != 4:
            return self.columns[0]
        first, *others = self.columns
        begin = next(n for n in range(len(first)) if len({one[: n + 1] for one in self.columns}) > 1)
        end = next(n for n in range(len(first)) if len({one[len(one) - n - 1 :] for one in self.columns}) > 1)
        return f"{first[:begin]}{{quarter}}{first[len(first) - end :]}" if others else first


@dataclass(frozen=True, slots=True)
class Sampled:
    """A sample with its truth: the export, which kind it is, its dialect, and its fields by (table, field).

    `more`: the other files of its kind; the truth is of the rows of all of them.
    """

    export: Export
    kind: str
    dialect: str
    fields: Mapping[tuple[str, str], Truth] = field(default_factory=dict)
    more: tuple[Export, ...] = ()

    @property
    def table(self) -> str:
        """The table that its rows fill."""
        return TABLE_OF.get(self.kind, self.kind)


class _Pen:
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


def sample(
    part: str, dialect: str, words: Mapping[str, Any], kind: str, rows: pd.DataFrame, seed: int, strange: float = 0.0
) -> Sampled:
    """One sample; the same for the same arguments. `strange`: the share of titles that are words of no language."""
    chance = np.random.default_rng([seed, *map(ord, f"{part}{dialect}{kind}")])
    pen = _Pen(words, chance, strange)
    table = table_named(TABLE_OF.get(kind, kind))
    truth: dict[tuple[str, str], Truth] = {}
    if kind == "tank" and "tank_clock" in pen.layout:
        pen.clock = pen.layout["tank_clock"]
    for column in table.columns:
        if column.name not in rows or rows[column.name].isna().all():
            continue
        if column.name not in table.key and column.name != "box" and chance.random() > OPTIONAL:
            continue
        values = list(rows[column.name])
        if kind == "cow_tests" and column.name in ("cells_k_ml", "milk_kg") and column.name not in rows:
            continue
        truth[(table.name, column.name)] = _column(pen, table.name, column.name, values)
    if kind == "visits and quarters":
        labels = dict(zip(QUARTERS, words["quarters"], strict=True))
        place = str(chance.choice(["before", "after"]))
        join = str(chance.choice([" ", "_", ""] if all(map(str.isupper, labels.values())) else [" ", "_"]))
        for value in ("milk_kg", *(v for v in QUARTER_VALUES if v != "milk_kg")):
            if chance.random() < OPTIONAL:
                truth[("quarters", value)] = _wide(pen, value, rows, labels, place, join)
    _others(pen, kind, rows)
    return _written(pen, part, dialect, kind, truth, seed)


def _others(pen: _Pen, kind: str, rows: pd.DataFrame) -> None:
    """Columns that are no field, as it falls, and those that the dialect always has."""
    always = pen.layout.get("always", ())
    for other in OTHERS.get(kind, OTHERS["visits"] if kind.startswith("visits") else "").split():
        if (pen.chance.random() < 0.4 or other in always) and other in rows:
            if other == "expected" and always:
                _other(pen, other, list(rows["hoped"]))
            else:
                _other(pen, other, list(rows[other]))
    for other in (*(one for one in ("flow_time", "room", "previous") if one in always), "server"):
        if other in rows and (other != "server" or "server" in pen.layout):
            _other(pen, other, list(rows[other]))


def _key_of(table: str, name: str) -> str:
    """The word list's key of a field."""
    if name == "at" and table in ("tank", "cow_tests"):
        return "sampled" if table == "cow_tests" else "at"
    if table == "cow_tests" and name == "milk_kg":
        return "test_milk"
    return "q_milk_kg" if table == "quarters" and name == "milk_kg" else name


def _column(pen: _Pen, table: str, name: str, values: list[Any]) -> Truth:
    column = table_named(table).column(name)
    title = pen.title(_key_of(table, name))
    if column.kind == "time":
        return _moment(pen, name, title, values)
    if column.kind == "date":
        days = [pen.wall(v).date() if not pd.isna(v) else None for v in values]
        cells = [None if d is None else (d if pen.form == "xlsx" else d.strftime(pen.day)) for d in days]
        return Truth((pen.add(title, cells),), (tuple(values),), "date")
    if column.kind in ("number", "count"):
        cells, title = _numbers(pen, column.unit, title, values, column.kind, table == "cow_tests" or name == "litres")
        return Truth((pen.add(title, cells),), (tuple(values),), "number")
    if column.kind == "word":
        cells = [pen.words["words"].get(name, {}).get(v, v) if v else None for v in values]
        if name == "quarter":
            cells = [dict(zip(QUARTERS, pen.words["quarters"], strict=True))[v] for v in values]
        return Truth((pen.add(title, cells),), (tuple(values),), "word")
    cells = [int(v) if pen.form != "delimited" and str(v).isdigit() else v for v in values]
    return Truth((pen.add(title, cells),), (tuple(values),), "text")


def _moment(pen: _Pen, name: str, title: str, values: list[Any]) -> Truth:
    if pen.moment == "two":
        days = [pen.when(v, pen.day) for v in values]
        days = [v.date() for v in days] if pen.form == "xlsx" and pen.layout else days
        day = pen.add(pen.title("day"), days)
        clocks = [pen.wall(v).time() if pen.form == "xlsx" else pen.wall(v).strftime(pen.clock) for v in values]
        clock = pen.add(pen.title("clock"), clocks)
        return Truth((day, clock), (tuple(values),), "time")
    return Truth((pen.add(title, [pen.when(v, pen.moment) for v in values]),), (tuple(values),), "time")


def _numbers(pen: _Pen, own: str, title: str, values: list[Any], kind: str, whole: bool) -> tuple[list[Any], str]:
    """A column of figures in the sample's unit, and its title with the unit if the sample says units."""
    figures = np.array([np.nan if pd.isna(v) else float(v) for v in values])
    if own == "s":
        unit, ways = pen.span
        if unit in ("min:sec", "h:min:sec"):
            cells: list[Any] = [None if np.isnan(v) else _clocklike(int(v), unit, pad=pen.pad) for v in figures]
        else:
            cells = [pen.number(v / (60 if unit == "min" else 1), 1 if unit == "min" else 0) for v in figures]
        return cells, _with_unit(pen, title, ways)
    if not own or own == "1/d":
        return [pen.number(v, 0) for v in figures], title
    _, factor, offset, ways = pen.units[own]
    scaled = figures * factor + offset
    top = np.nanmedian(np.abs(scaled))
    places = 0 if top >= 100 or own == "1000/ml" else (2 if top < 8 else 1)
    del kind, whole
    return [pen.number(v, places) for v in scaled], _with_unit(pen, title, ways)


def _clocklike(seconds: int, unit: str, *, pad: bool) -> str:
    if pad:
        whole = f"{seconds // 60:02d}" if unit == "min:sec" else f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}"
        return f"{whole}:{seconds % 60:02d}"
    if unit == "min:sec":
        return f"{seconds // 60}:{seconds % 60:02d}"
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def _with_unit(pen: _Pen, title: str, ways: Sequence[str]) -> str:
    if pen.units_row:
        pen.said[title] = ways[0]
        return title
    return title + pen.unit_style.format(ways[int(pen.chance.integers(len(ways)))]) if pen.says_units else title


def _wide(pen: _Pen, value: str, rows: pd.DataFrame, labels: Mapping[str, str], place: str, join: str) -> Truth:
    """The four columns of a quarter's value."""
    column = table_named("quarters").column(value)
    stem = pen.title(_key_of("quarters", value))
    state = pen.chance.bit_generator.state
    titles, values = [], []
    for quarter in QUARTERS:
        pen.chance.bit_generator.state = state  # the same unit word in all four titles
        true = list(rows[f"{quarter.lower()}_{value}"])
        label = pen.styled(labels[quarter])
        title = f"{label}{join}{stem}" if place == "before" else f"{stem}{join}{label}"
        if column.kind == "flag":
            yes, no = pen.words["words"]["yes"], pen.words["words"]["no"]
            cells: list[Any] = [None if pd.isna(v) else (yes if v else no) for v in true]
        else:
            cells, title = _numbers(pen, column.unit, title, true, column.kind, False)
        titles.append(pen.add(title, cells))
        values.append(tuple(true))
    return Truth(tuple(titles), tuple(values), "flag" if column.kind == "flag" else "number")


_WITH_UNITS = {"flow_time": "s", "room": "degC", "expected": "kg", "feed": "kg", "previous": "1000/ml"}


def _other(pen: _Pen, other: str, values: list[Any]) -> None:
    """A column that is no field of any table of the sample's kind."""
    if other in ("birth", "insemination", "due"):
        cells = [None if pd.isna(v) else pen.wall(v).strftime(pen.day) for v in values]
    elif other == "server":
        form = f"{pen.day} %H:%M" if pen.moment == "two" else pen.moment
        if pen.layout["server"] == "UTC":
            cells = [datetime.fromtimestamp(int(v), UTC).replace(tzinfo=None) for v in values]
            cells = cells if pen.form == "xlsx" else [v.strftime(form) for v in cells]
        else:
            cells = [pen.when(v, form) for v in values]
    elif other in _WITH_UNITS and pen.layout:
        cells, title = _numbers(pen, _WITH_UNITS[other], pen.title(other), values, "number", False)
        pen.add(title, cells)
        return
    elif other == "end" and pen.moment == "two" and pen.layout:
        cells = [pen.wall(v).time() if pen.form == "xlsx" else pen.wall(v).strftime(pen.clock) for v in values]
    elif other == "end":
        form = "%Y-%m-%d %H:%M:%S" if pen.moment == "two" else pen.moment
        cells = [pen.when(v, form) for v in values]
    elif isinstance(values[0], str):
        cells = values
    else:
        figures = [float("nan") if pd.isna(v) else float(v) for v in values]
        places = 0 if all(pd.isna(v) or v == round(v) for v in figures) else 2 if max(figures) < 8 else 1
        cells = [pen.number(v, places) for v in figures]
    pen.add(pen.title(other), cells)


def _written(pen: _Pen, part: str, dialect: str, kind: str, truth: dict[tuple[str, str], Truth], seed: int) -> Sampled:
    """The file itself: columns in another order half of the time, without titles now and then."""
    columns = list(pen.columns)
    if pen.chance.random() < 0.5:
        columns = [columns[i] for i in pen.chance.permutation(len(columns))]
    titles = [title for title, _ in columns]
    rows = list(zip(*(cells for _, cells in columns), strict=True))
    bare = pen.form == "delimited" and pen.chance.random() < 0.06 and not pen.layout
    if bare:
        called = {title: f"column {n + 1}" for n, title in enumerate(titles)}
        truth = {k: Truth(tuple(called[c] for c in t.columns), t.values, t.kind) for k, t in truth.items()}
    ending = {"delimited": "csv", "xlsx": "xlsx", "json_lines": "jsonl"}[pen.form]
    if not pen.layout:
        content = _CONTENT[pen.form](pen, titles, rows, bare)
        return Sampled(Export(f"{part}{seed}_20260301_0700.{ending}", content, 0), kind, dialect, truth)
    files = [
        Export(_name(pen, kind, n), _CONTENT[pen.form](pen, titles, some, bare), 0)
        for n, some in enumerate(_in_files(pen, kind, rows))
    ]
    return Sampled(files[0], kind, dialect, truth, tuple(files[1:]))


def _in_files(pen: _Pen, kind: str, rows: list[tuple[Any, ...]]) -> list[list[tuple[Any, ...]]]:
    """The rows of each file: a list of cows is the same in all of them, the others follow each other."""
    count = int(pen.layout.get("files", 1))
    if kind == "cows":
        return [rows] * count
    size = -(-len(rows) // count)
    return [rows[n : n + size] for n in range(0, len(rows), size)]


def _name(pen: _Pen, kind: str, n: int) -> str:
    """A file's name by its place."""
    step = timedelta(days=30) if kind == "cow_tests" else timedelta(hours=24)
    name = pen.layout["name"].replace("{kind}", kind.replace(" and ", "_"))
    return (datetime(2026, 3, 1, 7) + n * step).strftime(name)  # noqa: DTZ001


def _besides(pen: _Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]]) -> list[list[Any]]:
    """The lines of a table: titles, a row of units, the rows, and one that adds them up."""
    lines: list[list[Any]] = [list(titles)]
    if pen.units_row and set(pen.said) & set(titles):
        lines.append([pen.said.get(title, "") for title in titles])
    lines += [list(row) for row in rows]
    if pen.layout.get("totals"):
        lines.append([pen.layout["totals"], len(rows), *[None] * (len(titles) - 2)])
    return lines


def _delimited(pen: _Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]], bare: bool) -> bytes:
    lines = [list(row) for row in rows] if bare else _besides(pen, titles, rows)
    texts = [[pen.missing if cell is None else str(cell) for cell in row] for row in lines]
    quote = [[f'"{c}"' if pen.delimiter in c or '"' in c else c for c in line] for line in texts]
    before = [] if bare else list(pen.layout.get("preamble", ()))
    written = "\r\n".join([*before, *(pen.delimiter.join(line) for line in quote)]) + "\r\n"
    return written.encode(pen.layout.get("encoding", "utf-8"))


def _workbook(pen: _Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]], bare: bool) -> bytes:
    del bare
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet()
    for line in pen.layout.get("preamble", ()):
        sheet.append([line or None])
    for row in _besides(pen, titles, rows):
        sheet.append([None if isinstance(c, float) and pd.isna(c) else c for c in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _json_lines(pen: _Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]], bare: bool) -> bytes:
    del pen, bare
    return "".join(json.dumps(dict(zip(titles, row, strict=True)), ensure_ascii=False) + "\n" for row in rows).encode()


_CONTENT = {"delimited": _delimited, "xlsx": _workbook, "json_lines": _json_lines}
