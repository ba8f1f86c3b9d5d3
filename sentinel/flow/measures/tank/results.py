"""The bulk tank's single test results, and its milk's temperature while it fills."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.base.facts import HOURS, OVER, PREVIOUS
from sentinel.flow.measures.base.ordered import Ordered, ordered, texts
from sentinel.flow.measures.base.shape import FactColumn, Measure, Option, Options, Readings
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

RESULTS_S = 100 * DAY_S
FILLING_S = 10 * DAY_S
LAST = 5
"""Of so many results it is told how many are over the limit."""

FELL_TO = 0.5
"""A tank that holds less than this part of what it held was emptied in between (an assumption, no source)."""

NO_TEMPERATURE = "the milk's temperature was not read"
IMPOSSIBLE = "milk cannot have the temperature that was read, so the sensor may be at fault"
EMPTY = "the tank is empty"
NO_RESULT = "the count that was given is not one (it must be over 0)"


def tank_results(tables: Tables, column: str) -> tuple[Ordered, np.ndarray, np.ndarray]:
    """The test results of one column by tank, then time: rows, results, and which of them can be used (over 0)."""
    frame = tables.tank
    rows = ordered("tank", frame["tank"], frame["at"], frame[column].notna().to_numpy(bool))
    result = rows.take(frame[column]).astype(float)
    return rows, result, (result > 0) & np.isfinite(result)


def tank_cells_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Somatic cells of a single test of the tank, at each test, per tank, in k/ml (thousands per ml).

    `over` of the last five results (`of`) are strictly over `limit`; `previous` is the result before. Only results
    of the last 100 days count. A row without a cell count is no test.
    """
    return _single(*tank_results(tables, "cells_k_ml"), options["limit"])


def tank_bacteria_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Bacteria of a single test of the tank, at each test, per tank, in k/ml (thousands per ml).

    As `tank_cells_k_ml`: `over` of the last five results (`of`) are strictly over `limit`.
    """
    return _single(*tank_results(tables, "bacteria_k_ml"), options["limit"])


def _single(rows: Ordered, result: np.ndarray, usable: np.ndarray, limit: float) -> Readings:
    """Each result, with how many of the last few are over the limit."""
    usable_rows, value = rows.only(usable), result[usable]
    over, of = (value > limit).astype(np.int64), np.ones(len(usable_rows), np.int64)
    previous = np.full(len(usable_rows), np.nan)
    for lag in range(1, min(LAST, len(usable_rows))):
        near = (usable_rows.code[lag:] == usable_rows.code[:-lag]) & (
            usable_rows.at[:-lag] > usable_rows.at[lag:] - RESULTS_S
        )
        over[lag:] += near & (value[:-lag] > limit)
        of[lag:] += near
        if lag == 1:
            previous[1:] = np.where(near, value[:-1], np.nan)
    return Readings(
        rows.frame(
            value=np.where(usable, result, np.nan),
            why=texts(np.where(usable, "", NO_RESULT).astype(object)),
            previous=spread(previous, usable, np.nan),
            over=spread(over, usable, 0),
            of=spread(of, usable, 0),
        )
    )


def spread(values: np.ndarray, usable: np.ndarray, missing: object) -> np.ndarray:
    """Values of the usable rows among all rows."""
    column = np.full(len(usable), missing, dtype=values.dtype)
    column[usable] = values
    return column


def milk_temperature_C(tables: Tables, per: str, options: Options) -> Readings:
    """Temperature of the milk, at each reading, per tank, in °C; not told while a new filling still has time to cool.

    A filling begins with the first reading that shows milk after the tank was emptied: it stood at `empty_below` or
    under, or holds less than half of what it held at the reading before (so it is not told when within that gap the
    milking began, and the latest possible moment is taken). Until `time_to_cool` after that moment the value is
    missing, and so it is while the tank is empty or where only its litres were read. `hours` is how long it has been
    filling, missing if no beginning is known within 10 days; then, as where litres are never read, every temperature
    is judged. A row with neither temperature nor litres, such as a laboratory's result, is no reading.
    """
    frame = tables.tank
    read = (frame["temperature_C"].notna() | frame["litres"].notna()).to_numpy(bool)
    rows = ordered("tank", frame["tank"], frame["at"], read)
    temperature = rows.take(frame["temperature_C"]).astype(float)
    litres = rows.take(frame["litres"]).astype(float)
    began, empty, holds = _fillings(rows, litres, options["empty_below"])
    filling_s = rows.at - began
    hours = np.where((began >= 0) & ~empty, filling_s / HOUR_S, np.nan)
    cooling = (began >= 0) & (filling_s < options["time_to_cool"])
    possible = (temperature > -10) & (temperature < 110)
    why = np.select(
        [np.isnan(temperature), ~possible, empty, cooling],
        [NO_TEMPERATURE, IMPOSSIBLE, EMPTY, _cooling_words(options["time_to_cool"])],
        default="",
    )
    return Readings(
        rows.frame(
            value=np.where(why == "", temperature, np.nan), why=texts(why.astype(object)), hours=hours, litres=holds
        )
    )


def _fillings(rows: Ordered, litres: np.ndarray, empty_below: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Per reading: when the tank's filling began (-1 if not known), whether it is empty, and what it holds.

    A beginning is known by two readings of litres; both must lie within the last 10 days, and so must the reading
    by which it is empty.
    """
    has_litres = ~np.isnan(litres)
    held, amount = rows.only(has_litres), litres[has_litres]
    starts_after = np.full(len(held), -1)  # the moment of the reading before, where a filling begins
    if len(held) > 1:
        had, has = amount[:-1], amount[1:]
        begins = (held.code[1:] == held.code[:-1]) & (has > empty_below)
        begins &= (had <= empty_below) | (has < FELL_TO * had)
        starts_after[1:] = np.where(begins, held.at[:-1], -1)
    place = np.arange(len(held))
    start = np.maximum.accumulate(np.where(starts_after >= 0, place, -1)) if len(held) else place
    last = held.up_to(rows.code, rows.at) - 1
    own = np.zeros(len(rows), bool)
    if len(held):
        own = (last >= 0) & (held.code[last] == rows.code) & (held.at[last] > rows.at - FILLING_S)
    began, empty, holds = np.full(len(rows), -1), np.zeros(len(rows), bool), np.full(len(rows), np.nan)
    holds[own] = amount[last[own]]
    empty[own] = amount[last[own]] <= empty_below
    first = start[last[own]]
    known = (first >= 0) & (held.code[first] == rows.code[own]) if len(held) else np.zeros(0, bool)
    known = known & (starts_after[first] > rows.at[own] - FILLING_S) if len(held) else known
    began[own] = np.where(known, held.at[first], -1) if len(held) else -1
    return began, empty, holds


def _cooling_words(time_to_cool_s: float) -> str:
    return f"a new filling has {time_to_cool_s / HOUR_S:g} h to cool"


def _limit(value: float) -> Option:
    return Option("limit", "k/ml", value, "a result over this is counted in `over`; keep it the same as the bound")


_SINGLE = "single results: definition; the three out of five of the United States: from memory"

_OF = FactColumn("of", "out of")

TANK_CELLS_K_ML = Measure(
    name="tank_cells_k_ml",
    unit="k/ml",
    per=("tank",),
    doc="somatic cells of a single test of the tank in thousands per ml, with how many of the last five are over",
    source=_SINGLE,
    check="worked by hand: test_results",
    compute=tank_cells_k_ml,
    charts=("tank-cells",),
    needs=("tank.cells_k_ml",),
    uses=("tank",),
    options=(_limit(400.0),),
    lookback_s=RESULTS_S,
    facts=(PREVIOUS, OVER, _OF),
)

TANK_BACTERIA_K_ML = Measure(
    name="tank_bacteria_k_ml",
    unit="k/ml",
    per=("tank",),
    doc="bacteria of a single test of the tank in thousands per ml, with how many of the last five are over",
    source=_SINGLE,
    check="worked by hand: test_results",
    compute=tank_bacteria_k_ml,
    charts=("tank-bacteria",),
    needs=("tank.bacteria_k_ml",),
    uses=("tank",),
    options=(_limit(100.0),),
    lookback_s=RESULTS_S,
    facts=(PREVIOUS, OVER, _OF),
)

MILK_TEMPERATURE_C = Measure(
    name="milk_temperature_C",
    unit="°C",
    per=("tank",),
    doc="temperature of the milk in the tank, once a new filling has had its time to cool",
    source="definition; the limits are in Regulation (EC) 853/2004, Annex III, Section IX, Chapter I, Part II(B) "
    "(wording from memory)",
    check="worked by hand: test_results",
    compute=milk_temperature_C,
    charts=("tank-temperature",),
    needs=("tank.temperature_C",),
    uses=("tank",),
    options=(
        Option("time_to_cool", "s", 2 * HOUR_S, "how long after a filling began warmer milk raises no alert"),
        Option("empty_below", "l", 100.0, "a tank with no more than this counts as empty"),
    ),
    lookback_s=FILLING_S,
    facts=(HOURS, FactColumn("litres", "milk in the tank", "l")),
)

MEASURES = (TANK_CELLS_K_ML, TANK_BACTERIA_K_ML, MILK_TEMPERATURE_C)
