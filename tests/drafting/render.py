"""Rows written as a sample export in a dialect, with what each column truly is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import QUARTER_VALUES, table_named

from .pen import Pen
from .sampled import TABLE_OF, Sampled, Truth
from .written import written

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


def sample(
    part: str, dialect: str, words: Mapping[str, Any], kind: str, rows: pd.DataFrame, seed: int, strange: float = 0.0
) -> Sampled:
    """One sample; the same for the same arguments. `strange`: the share of titles that are words of no language."""
    chance = np.random.default_rng([seed, *map(ord, f"{part}{dialect}{kind}")])
    pen = Pen(words, chance, strange)
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
    return written(pen, part, dialect, kind, truth, seed)


def _others(pen: Pen, kind: str, rows: pd.DataFrame) -> None:
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


def _column(pen: Pen, table: str, name: str, values: list[Any]) -> Truth:
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


def _moment(pen: Pen, name: str, title: str, values: list[Any]) -> Truth:
    if pen.moment == "two":
        days = [pen.when(v, pen.day) for v in values]
        days = [v.date() for v in days] if pen.form == "xlsx" and pen.layout else days
        day = pen.add(pen.title("day"), days)
        clocks = [pen.wall(v).time() if pen.form == "xlsx" else pen.wall(v).strftime(pen.clock) for v in values]
        clock = pen.add(pen.title("clock"), clocks)
        return Truth((day, clock), (tuple(values),), "time")
    return Truth((pen.add(title, [pen.when(v, pen.moment) for v in values]),), (tuple(values),), "time")


def _numbers(pen: Pen, own: str, title: str, values: list[Any], kind: str, whole: bool) -> tuple[list[Any], str]:
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


def _with_unit(pen: Pen, title: str, ways: Sequence[str]) -> str:
    if pen.units_row:
        pen.said[title] = ways[0]
        return title
    return title + pen.unit_style.format(ways[int(pen.chance.integers(len(ways)))]) if pen.says_units else title


def _wide(pen: Pen, value: str, rows: pd.DataFrame, labels: Mapping[str, str], place: str, join: str) -> Truth:
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


def _other(pen: Pen, other: str, values: list[Any]) -> None:
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
