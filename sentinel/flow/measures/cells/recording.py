"""The cows' milk recording as a whole: whose cells the tank's are, and the herd's mean."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.facts import CELLS_K_ML, COWS, OVER, TANK_K_ML, TANK_WITHOUT_K_ML
from sentinel.flow.measures.base.ordered import Ordered, ordered, texts
from sentinel.flow.measures.base.shape import NO_CHART, Measure, Option, Options, Readings
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

PAST_S = 200 * DAY_S
"""Earlier tests count for so long: a test before the dry period is still seen at the first one after calving."""

FINE, FINE_LOG = 1e6, 1e12
"""Sums are taken over whole numbers of so small a part, so that they are exact wherever the data begins."""

MOST = 1e9
"""A test whose cells x kg are beyond this is no milk recording and adds nothing to the tank."""

NO_COUNT = "the test gave no cell count"
IMPOSSIBLE = "milk cannot have the cell count that was given, so the test may be at fault"
NO_COUNTS = "no test of the recording gave a cell count"
NO_YIELD = "the test gave no milk yield, so her part of the tank cannot be told"


@dataclass(frozen=True, slots=True)
class CowTests:
    """Every test of a cow, by cow, then time: her cell count (NaN where it is none, with `why`) and her milk."""

    rows: Ordered
    cells: np.ndarray
    milk_kg: np.ndarray
    why: np.ndarray


def cow_tests(tables: Tables) -> CowTests:
    """The cows' tests; a count of zero or less, or an endless one, is not used."""
    frame = tables.cow_tests
    rows = ordered("cow", frame["cow"], frame["at"], np.ones(len(frame), bool))
    given = rows.take(frame["cells_k_ml"]).astype(float)
    possible = (given > 0) & np.isfinite(given)
    milk = rows.take(frame["milk_kg"]).astype(float)
    return CowTests(
        rows,
        np.where(possible, given, np.nan),
        np.where((milk > 0) & np.isfinite(milk), milk, np.nan),
        np.where(possible, "", np.where(np.isnan(given), NO_COUNT, IMPOSSIBLE)).astype(object),
    )


@dataclass(frozen=True, slots=True)
class Pooled:
    """Per test what the recording so far comes to: each cow's latest test within `recording_takes` up to its moment.

    `part` is the cow's own cells x kg (NaN where she has none), `cells` the sum of all, `milk_kg` of their milk,
    `cows` how many have both; `counted` cows have a cell count, and `log_cells` is the sum of its logarithms.
    """

    part: np.ndarray
    cells: np.ndarray
    own_kg: np.ndarray
    milk_kg: np.ndarray
    cows: np.ndarray
    counted: np.ndarray
    log_cells: np.ndarray
    over: np.ndarray


def recording(tests: CowTests, takes_s: int, limit: float) -> Pooled:
    """The recording that each test belongs to, as far as it is known at the test's own moment."""
    rows = tests.rows
    following = np.full(len(rows), np.iinfo(np.int64).max)
    if len(rows):
        following[:-1] = np.where(rows.code[1:] == rows.code[:-1], rows.at[1:], following[:-1])
    ends = np.minimum(following, rows.at + takes_s)
    part = tests.cells * tests.milk_kg
    both = part <= MOST
    counted = ~np.isnan(tests.cells)
    own, kg = fine(np.where(both, part, 0.0), FINE), fine(np.where(both, tests.milk_kg, 0.0), FINE)
    log_cells = fine(np.log(np.where(counted, tests.cells, 1.0)), FINE_LOG)
    return Pooled(
        part=np.where(both, own / FINE, np.nan),
        own_kg=np.where(both, kg / FINE, np.nan),
        cells=running(rows.at, ends, own) / FINE,
        milk_kg=running(rows.at, ends, kg) / FINE,
        cows=running(rows.at, ends, both),
        counted=running(rows.at, ends, counted),
        log_cells=running(rows.at, ends, log_cells) / FINE_LOG,
        over=running(rows.at, ends, tests.cells > limit),
    )


def fine(amount: np.ndarray, parts: float) -> np.ndarray:
    """Amounts as whole numbers of so small a part, whose sums are exact."""
    return np.rint(amount * parts).astype(np.int64)


def running(start: np.ndarray, end: np.ndarray, amount: np.ndarray) -> np.ndarray:
    """Per row the sum of the whole numbers that count at its moment, each from its `start` until before its `end`."""
    moments, place = np.unique(np.concatenate([start, end]), return_inverse=True)
    steps = np.zeros(len(moments), np.int64)
    np.add.at(steps, place[: len(start)], amount)
    np.subtract.at(steps, place[len(start) :], amount)
    return np.asarray(np.cumsum(steps)[place[: len(start)]])


def shares(whole: Pooled) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Each cow's share in %, what the tank would read without her, and with her; NaN where it cannot be told."""
    share, without, together = (np.full(len(whole.part), np.nan) for _ in range(3))
    is_known = ~np.isnan(whole.part)
    np.divide(100.0 * whole.part, whole.cells, out=share, where=is_known & (whole.cells > 0))
    np.divide(whole.cells, whole.milk_kg, out=together, where=whole.milk_kg > 0)
    rest = np.where(is_known, whole.milk_kg - whole.own_kg, 0.0)
    np.divide(whole.cells - whole.part, rest, out=without, where=is_known & (whole.cows > 1) & (rest > 0))
    return share, without, together


def cow_cells_share_pct(tables: Tables, per: str, options: Options) -> Readings:
    """A cow's part of all cells in the milk of the recording, at each test, per cow, in %.

    share = 100 x (cells x kg) / sum of (cells x kg) over the cows of the same recording, as in `cow_cells_k_ml`.
    Without her count or her milk it cannot be told; a cow without either is not in the sum.
    """
    tests = cow_tests(tables)
    whole = recording(tests, int(options["recording_takes"]), np.inf)
    share, without, together = shares(whole)
    why = np.where((tests.why == "") & np.isnan(share), NO_YIELD, tests.why)
    return Readings(
        tests.rows.frame(
            value=share,
            why=texts(why),
            cells_k_ml=tests.cells,
            tank_k_ml=together,
            tank_without_k_ml=without,
            cows=whole.cows,
        )
    )


def herd_cells_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Geometric mean of the cows' somatic cells at the recording, per herd, in k/ml (thousands per ml).

    mean = exp(mean of log cells) over the latest test of each cow within `recording_takes`, read at each moment
    with a test. `cows` have a count, `over` of them are over `limit`; `tank_k_ml` is what their milk together reads:
    sum of (cells x kg) / sum of kg over those with both.
    """
    tests = cow_tests(tables)
    whole = recording(tests, int(options["recording_takes"]), options["limit"])
    at, first = np.unique(tests.rows.at, return_index=True)
    counted, log_cells = whole.counted[first], whole.log_cells[first]
    mean = np.full(len(at), np.nan)
    np.divide(log_cells, counted, out=mean, where=counted > 0)
    together = np.full(len(at), np.nan)
    np.divide(whole.cells[first], whole.milk_kg[first], out=together, where=whole.milk_kg[first] > 0)
    return Readings(
        pd.DataFrame(
            {
                "subject": texts(np.full(len(at), "herd", dtype=object)),
                "at": at.astype(np.int64),
                "value": np.round(np.exp(mean), 6),
                "why": texts(np.where(counted > 0, "", NO_COUNTS).astype(object)),
                "cows": counted,
                "over": whole.over[first],
                "tank_k_ml": together,
            }
        )
    )


LIMIT = Option("limit", "k/ml", 200.0, "a count over this is high (200 k/ml is a linear score of 4)")
TAKES = Option("recording_takes", "s", 36 * HOUR_S, "tests within this time are one recording")
COW_CELLS_SHARE_PCT = Measure(
    name="cow_cells_share_pct",
    unit="%",
    per=("cow",),
    doc="% of the cells in all milk of the recording that are hers: 100 × cells × kg / sum of cells × kg",
    source="definition",
    check="worked by hand; the shares sum to 100: test_cow_cells",
    compute=cow_cells_share_pct,
    charts=NO_CHART,
    needs=("cow_tests",),
    options=(TAKES,),
    lookback_s=PAST_S,
    facts=(COWS, CELLS_K_ML, TANK_K_ML, TANK_WITHOUT_K_ML),
    herd_wide=True,
)

HERD_CELLS_K_ML = Measure(
    name="herd_cells_k_ml",
    unit="k/ml",
    per=("herd",),
    doc="geometric mean of the cows' somatic cells at the recording in thousands per ml",
    source="definition of the geometric mean",
    check="published counts with their mean, scipy.stats.gmean: test_cow_cells",
    compute=herd_cells_k_ml,
    charts=NO_CHART,
    needs=("cow_tests",),
    options=(LIMIT, TAKES),
    lookback_s=PAST_S,
    facts=(COWS, TANK_K_ML, OVER),
)

MEASURES = (COW_CELLS_SHARE_PCT, HERD_CELLS_K_ML)
