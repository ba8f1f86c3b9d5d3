"""Evidence of trouble in single quarters, and the chart of the quarter's own rises: the two measures."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.language import Later, Said
from sentinel.flow.measures.base.facts import BASELINE, BOX, CONDUCTIVITY
from sentinel.flow.measures.base.ordered import Ordered, arranged, sentences, texts
from sentinel.flow.measures.base.shape import FactColumn, Measure, Options, Readings
from sentinel.flow.measures.milking.yield_share import TOLD_BACK_S
from sentinel.flow.measures.udder.change import (
    FAULTS,
    USUAL_FEWEST,
    Changes,
    Milkings,
    asked_of,
    changes_of,
    milkings_of,
)
from sentinel.flow.measures.udder.ewma import READINGS, WEIGHT, WIDTH, ewma_of_last, ewma_sd
from sentinel.flow.measures.udder.lags import before, in_parts, reaches_from
from sentinel.flow.measures.udder.points import (
    CONDUCTIVITY_MOST,
    LATELY_S,
    POINTS,
    POINTS_ALONE,
    SIGN_MARKS,
    SIGNS,
    SPOKEN_FROM,
    Signs,
    in_words,
    points,
    signs_of,
)
from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import Tables

TOO_FEW = f"fewer than {USUAL_FEWEST} earlier milkings with a reading in 8 days"
NOTHING = Said("nothing unusual")
NO_SIGNS = dict.fromkeys(SIGNS, 0.0)


def udder_evidence(tables: Tables, per: str, options: Options) -> Readings:
    """Evidence of trouble in a quarter at each milking with a reading, per quarter, in points.

    The sum of what five signs add (`points.points`): this milking's rise over the quarter's usual, corrected for
    the sensor and for what the cow's other quarters do; the moving average of the rises before it; the milk of the
    quarter below its usual part; the ratio to the two lowest quarters; an interval longer than usual. Missing where
    there are fewer than 5 earlier readings in 8 days, where the quarter's cup came off, or may have (the milking was
    broken off and the export does not say that this cup stayed on), where the reading is impossible and where the
    sensor has said the same five times.
    """
    herd_milkings, changes, asked = _looked_at(tables)
    signs = signs_of(herd_milkings, changes)
    parts = points(signs)
    score = parts[SIGNS[0]].copy()
    for name in SIGNS[1:]:
        score += parts[name]
    rows = _rows(herd_milkings, asked)
    columns = {f"{name}_points": part.ravel()[rows.row] for name, part in parts.items()}
    columns_of_rows = _told(tables, herd_milkings, changes, rows, score)
    return Readings(
        rows.frame(
            **columns_of_rows,
            because=sentences(_because(columns_of_rows["value"], rows, herd_milkings, changes, signs, parts)),
            **columns,
            **_in_deviations(changes, signs, rows),
        )
    )


def _in_deviations(changes: Changes, signs: Signs, rows: Ordered) -> dict[str, np.ndarray]:
    """What `_score_as_usual_was` needs of each reading: see there."""
    each = np.where(np.isnan(signs.less_milk), POINTS_ALONE, POINTS)
    columns = {"_rise_sd": signs.rise, "_before_sd": signs.ewma, "_points_a_sd": each, "_spread": changes.spread}
    return {name: column.ravel()[rows.row] for name, column in columns.items()}


def _score_as_usual_was(rows: pd.DataFrame, usual: np.ndarray) -> pd.DataFrame:
    """The scores of some readings by what was usual once, in mS/cm: of a quarter that has been ill since.

    What it was compared with has risen with it, by `away` of its own standard deviations: its rise is so much larger.
    Those of the milkings before are taken as no larger than this one's, as each of them had another usual. A score
    that is higher by what is usual now stays.
    """
    risen, earlier, each = (rows[name].to_numpy(float) for name in ("_rise_sd", "_before_sd", "_points_a_sd"))
    away = np.log(rows["baseline"].to_numpy(float) / usual) / rows["_spread"].to_numpy(float)
    rise = np.clip(risen + away, -CONDUCTIVITY_MOST, CONDUCTIVITY_MOST)
    before_it = np.minimum(rise, np.clip(earlier + away, -CONDUCTIVITY_MOST, CONDUCTIVITY_MOST))
    by_rise, by_ewma = each * WEIGHT * rise, each * (1.0 - WEIGHT) * before_it
    now = rows["rise_points"].to_numpy(float), rows["ewma_points"].to_numpy(float)
    more = np.maximum(by_rise + by_ewma - now[0] - now[1], 0.0)
    higher = more > 0
    rise_pct = 100.0 * (rows["conductivity"].to_numpy(float) / usual - 1.0)
    because = np.empty(len(rows), dtype=object)
    because[:] = [
        one.by(pct) if isinstance(one, _Because) else Later(partial(in_words, {**NO_SIGNS, "ewma": ewma}, pct, 0, 0, 0))
        for one, pct, ewma in zip(rows["because"], rise_pct.tolist(), by_ewma.tolist(), strict=True)
    ]
    return rows.assign(
        value=rows["value"].to_numpy(float) + more,
        baseline=usual,
        rise_pct=rise_pct,
        rise_points=np.where(higher, by_rise, now[0]),
        ewma_points=np.where(higher, by_ewma, now[1]),
        because=because,
    )


class _Because(Later):
    """The strongest signs of a reading in words; also by another rise than its own."""

    __slots__ = ("_signs",)

    def __init__(self, signs: Callable[[float | None], Said]) -> None:
        super().__init__(partial(signs, None))
        self._signs = signs

    def by(self, rise_pct: float) -> Later:
        """The same, for a conductivity that is this many % above its usual."""
        return Later(partial(self._signs, rise_pct))


def conductivity_ewma(tables: Tables, per: str, options: Options) -> Readings:
    """Moving average of a quarter's corrected rises of conductivity over its own limit, per quarter, as a ratio.

    z = 0.40 x + 0.60 z before, begun at 0 at most 12 readings (within 5 days) back, where x is the corrected rise in
    the quarter's own standard deviations, none counted as more than 4. The value is z over the limit for so many
    readings, 3.054 standard deviations of z: over 1 the chart is out of control. NIST/SEMATECH e-Handbook 6.3.2.4;
    Lucas and Saccucci 1990, Technometrics 32:1-12 (the pair 0.40, 3.054 from memory).
    """
    herd_milkings, changes, asked = _looked_at(tables)
    average, number = in_parts(_chart, herd_milkings.code, herd_milkings.at, changes.change / changes.spread)
    limit = WIDTH * ewma_sd(WEIGHT, 1.0, np.maximum(number, 1))
    rows = _rows(herd_milkings, asked)
    columns_of_rows = _told(tables, herd_milkings, changes, rows, average / limit)
    return Readings(rows.frame(**columns_of_rows, readings=number.ravel()[rows.row]))


def _chart(code: np.ndarray, at: np.ndarray, rise: np.ndarray) -> tuple[np.ndarray, ...]:
    """The moving average at each milking, this one included, and of how many readings it is."""
    bounded = np.clip(rise, -CONDUCTIVITY_MOST, CONDUCTIVITY_MOST)
    rises = before(bounded, reaches_from(code, at, READINGS - 1, LATELY_S), 1, READINGS - 1)
    return ewma_of_last([*np.moveaxis(rises, -1, 0), bounded], WEIGHT)


def _looked_at(tables: Tables) -> tuple[Milkings, Changes, np.ndarray]:
    """The milkings that the asked readings rest on, the changes at them, and which of them are asked."""
    herd_milkings = milkings_of(tables)
    return changes_of(herd_milkings, asked_of(herd_milkings, tables.farm), READINGS)


def _rows(herd_milkings: Milkings, asked: np.ndarray) -> Ordered:
    """The asked quarters with a reading, by subject, then time; `row` is their place in the milkings x quarters."""
    read = np.flatnonzero(~np.isnan(herd_milkings.conductivity) & asked)
    milking, quarter = np.divmod(read, len(QUARTERS))
    names = [f"quarter:{cow}/{one}" for cow in herd_milkings.cows for one in QUARTERS]
    return arranged(names, herd_milkings.code[milking] * len(QUARTERS) + quarter, herd_milkings.at[milking], read)


def _told(
    tables: Tables, herd_milkings: Milkings, changes: Changes, rows: Ordered, value: np.ndarray
) -> dict[str, Any]:
    """The columns that both measures have: the value, why there is none, and the conductivity behind it."""
    pick = rows.row
    fault = herd_milkings.fault.ravel()[pick]
    known = (fault == 0) & ~np.isnan(changes.change.ravel()[pick])
    words = np.array([*FAULTS, TOO_FEW], dtype=object)
    return {
        "value": np.where(known, value.ravel()[pick], np.nan),
        "why": texts(words[np.where((fault == 0) & ~known, len(FAULTS), fault)]),
        "rise_pct": 100.0 * np.expm1(changes.rise).ravel()[pick],
        "conductivity": herd_milkings.conductivity.ravel()[pick],
        "baseline": changes.usual.ravel()[pick],
        "box": texts(tables.visits["box"].to_numpy(object)[herd_milkings.row[pick // len(QUARTERS)]]),
    }


def _because(
    value: np.ndarray,
    rows: Ordered,
    herd_milkings: Milkings,
    changes: Changes,
    signs: Signs,
    parts: dict[str, np.ndarray],
) -> np.ndarray:
    """Per row the strongest signs in words; where the score is small that nothing stands out."""
    words = np.empty(len(rows), dtype=object)
    words[:] = NOTHING
    spoken = np.flatnonzero(value >= SPOKEN_FROM)
    pick = rows.row[spoken]
    each = np.stack([parts[name].ravel()[pick] for name in SIGNS], axis=1)
    rise, ratio = 100.0 * np.expm1(changes.rise.ravel()[pick]), signs.ratio.ravel()[pick]
    less = -100.0 * np.expm1(changes.milk.ravel()[pick])
    hours = herd_milkings.hours[pick // len(QUARTERS)]
    figures = np.stack([rise, less, ratio, hours], axis=1)

    def because_of(n: int, rise_pct: float | None) -> Said:
        own_rise, *others = figures[n].tolist()
        signs = dict(zip(SIGNS, each[n].tolist(), strict=True))
        return in_words(signs, own_rise if rise_pct is None else rise_pct, *others)

    words[spoken] = [_Because(partial(because_of, n)) for n in range(len(spoken))]
    return words


LOOKBACK_S = 29 * DAY_S + TOLD_BACK_S
"""5 days of averages, 6 of the quarter's own spread, 8 of its usual, 1 of the sensor's scatter and 1 of how far off it
is, 6 of what that rests on, and 2 of readings that say the same; and 3 more to tell whether a visit that was not whole
was a milking."""

_RISE_PCT = FactColumn("rise_pct", "above its usual", "%")

UDDER_EVIDENCE = Measure(
    name="udder_evidence",
    unit="points",
    per=("quarter",),
    doc="points for signs of trouble in a quarter, added up: this milking's conductivity above the quarter's usual, "
    "less what the sensor and her other quarters do + the same at the milkings before + less milk than the quarter "
    "usually gives + how far it is above her two best quarters + a longer interval than usual",
    source="our own sum of published signs (rise: Biggadike et al. 2002, citation from memory; ratio: Mollenhorst "
    "et al. 2010; moving average: NIST 6.3.2.4); weights are design constants, each with its reason in the code",
    check="monotone in each part; herds with truth beside the single signs: test_evidence, scoring",
    compute=udder_evidence,
    charts=("quarter",),
    needs=("visits",),
    lookback_s=LOOKBACK_S,
    facts=(
        CONDUCTIVITY,
        BASELINE,
        _RISE_PCT,
        FactColumn("because", "signs seen"),
        FactColumn("rise_points", "this milking's conductivity", "points", marks=SIGN_MARKS),
        FactColumn("ewma_points", "the milkings before", "points", marks=SIGN_MARKS),
        FactColumn("yield_points", "less milk than it usually gives", "points", marks=SIGN_MARKS),
        FactColumn("ratio_points", "against her other quarters", "points", marks=SIGN_MARKS),
        FactColumn("interval_points", "late to be milked", "points", marks=SIGN_MARKS),
        BOX,
    ),
    compared=("conductivity", "baseline"),
    herd_wide=True,
    asks_cows=True,
    usual=BASELINE.name,
    as_usual_was=_score_as_usual_was,
)

CONDUCTIVITY_EWMA = Measure(
    name="conductivity_ewma",
    unit="ratio",
    per=("quarter",),
    doc="ratio of the moving average (weight 0.40) of the quarter's corrected rises of conductivity to its limit of "
    "3.054 standard deviations; over 1 it is out of control",
    source="NIST/SEMATECH e-Handbook 6.3.2.4; limit: Lucas and Saccucci 1990, Technometrics 32:1-12 (pair from memory)",
    check="NIST 6.3.2.4 to every printed digit, run lengths of Lucas & Saccucci 1990 and Crowder: test_ewma",
    compute=conductivity_ewma,
    charts=("quarter",),
    needs=("visits",),
    lookback_s=LOOKBACK_S,
    facts=(CONDUCTIVITY, BASELINE, _RISE_PCT, FactColumn("readings", "milkings looked at", "milkings"), BOX),
    herd_wide=True,
    asks_cows=True,
)

MEASURES = (CONDUCTIVITY_EWMA, UDDER_EVIDENCE)
