"""Somatic cells in the milk of single cows: the count, its score, and whether it is newly or persistently high."""

from __future__ import annotations

import numpy as np

from sentinel.flow.language import Said
from sentinel.flow.measures.base.facts import CELLS_K_ML, COWS, PREVIOUS, TANK_K_ML, TANK_WITHOUT_K_ML
from sentinel.flow.measures.base.ordered import sentences, texts
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.cells.recording import LIMIT, PAST_S, TAKES, CowTests, cow_tests, recording, shares
from sentinel.flow.tables import Tables


def linear_score(cells_k_ml: np.ndarray) -> np.ndarray:
    """The linear score of a cell count in thousands per ml: log2(cells per ml / 100,000) + 3.

    USDA Animal Improvement Programs Laboratory, aipl.arsusda.gov/reference/scspl/scs.htm. 200,000 is exactly 4.

    >>> linear_score(np.array([12.5, 100.0, 200.0, 6400.0]))
    array([0., 3., 4., 9.])
    """
    return np.asarray(np.log2(cells_k_ml / 100.0) + 3.0)


STATES = ("", Said("low"), Said("persistent"), Said("still"), Said("first"), Said("again"), Said("new"))
"""How a test stands to those before it; nothing is said of one without a count."""


def cow_cells_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Somatic cells at each test, per cow, in k/ml (thousands per ml).

    `state` says what the count means beside her earlier tests of the last 200 days; over is strictly over `limit`,
    so 200 k/ml (a linear score of 4) is not:
    `low` not over; `first` over at the first test that is known; `new` over for the first time, after one that was
    not (a new infection); `again` over after one that was not, and over before that; `still` over as at the last
    test; `persistent` over at `persistent_after` or more tests in a row.
    `previous` is her test before, `score` the linear score (USDA), `tests_over` how many tests in a row are over.
    `share_pct` is her part of the cells of all `cows` tested in the same recording, 100 x cells x kg / sum, and
    `tank_without_k_ml` what their milk together (`tank_k_ml`) would read without hers. The same recording is the
    latest test of each cow within `recording_takes` up to the moment of her own: whole where a recording has one
    date, otherwise as far as it had come.
    """
    tests = cow_tests(tables)
    rows, whole = tests.rows, recording(tests, int(options["recording_takes"]), options["limit"])
    state, previous, in_a_row = states_of(tests, options["limit"], options["persistent_after"])
    share, without, together = shares(whole)
    return Readings(
        rows.frame(
            value=tests.cells,
            why=texts(tests.why),
            state=sentences(np.array(STATES, dtype=object)[state]),
            previous=previous,
            score=np.round(linear_score(tests.cells), 6),
            tests_over=in_a_row,
            share_pct=share,
            tank_k_ml=together,
            tank_without_k_ml=without,
            cows=whole.cows,
        )
    )


def states_of(tests: CowTests, limit: float, persistent_after: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Per test the place of its state in `STATES`, the cow's count before it, and how many in a row are over."""
    in_a_row, earlier, over_before, previous = _history(tests, limit)
    found = [np.isnan(tests.cells), ~(tests.cells > limit), in_a_row >= persistent_after]
    found += [in_a_row >= 2, earlier == 0, over_before > 0]
    return np.select(found, range(6), default=6), previous, in_a_row


def _history(tests: CowTests, limit: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Per test: how many in a row are over up to it, how many were before it, how many of those over, the one before.

    Only tests with a count, less than 200 days before.
    """
    counted = ~np.isnan(tests.cells)
    rows, cells = tests.rows.only(counted), tests.cells[counted]
    over = cells > limit
    in_a_row = over.astype(np.int64)
    earlier, over_before = np.zeros(len(rows), np.int64), np.zeros(len(rows), np.int64)
    previous = np.full(len(rows), np.nan)
    goes_on = over.copy()
    for lag in range(1, len(rows)):
        near = (rows.code[lag:] == rows.code[:-lag]) & (rows.at[:-lag] > rows.at[lag:] - PAST_S)
        if not near.any():
            break
        earlier[lag:] += near
        over_before[lag:] += near & over[:-lag]
        goes_on[lag:] &= near & over[:-lag]
        goes_on[:lag] = False
        in_a_row += goes_on
        if lag == 1:
            previous[1:] = np.where(near, cells[:-1], np.nan)
    columns = []
    for values, missing in ((in_a_row, 0), (earlier, 0), (over_before, 0), (previous, np.nan)):
        column = np.full(len(counted), missing, dtype=values.dtype)
        column[counted] = values
        columns.append(column)
    return columns[0], columns[1], columns[2], columns[3]


def cow_tests_over(tables: Tables, per: str, options: Options) -> Readings:
    """Tests in a row with more cells than the limit, at each test, per cow, as a number of tests.

    A test without a count has no value and is passed over; only the last 200 days count. One test that is not
    strictly over `limit` brings the number back to 0.
    """
    tests = cow_tests(tables)
    in_a_row, _, _, previous = _history(tests, options["limit"])
    return Readings(
        tests.rows.frame(
            value=np.where(np.isnan(tests.cells), np.nan, in_a_row),
            why=texts(tests.why),
            cells_k_ml=tests.cells,
            previous=previous,
        )
    )


PERSISTENT_AFTER = Option("persistent_after", "tests", 2.0, "this many tests in a row over the limit are persistent")
_SHARE = "share = 100 × cells × kg / sum: definition"

COW_CELLS_K_ML = Measure(
    name="cow_cells_k_ml",
    unit="k/ml",
    per=("cow",),
    doc="somatic cells at each test of a cow in thousands per ml, with the linear score log2(cells / 100) + 3, whether "
    "it is new or persistent, and her share of the tank's cells",
    source="score: USDA, aipl.arsusda.gov/reference/scspl/scs.htm; " + _SHARE,
    check="linear score: the USDA table: test_cow_cells",
    compute=cow_cells_k_ml,
    charts=NO_CHART,
    needs=("cow_tests",),
    options=(
        LIMIT,
        PERSISTENT_AFTER,
        TAKES,
    ),
    lookback_s=PAST_S,
    facts=(
        COWS,
        FactColumn("state", "by her tests"),
        PREVIOUS,
        FactColumn("score", "linear score", "points"),
        FactColumn("tests_over", "tests over the limit in a row", "tests"),
        FactColumn("share_pct", "her share of the tank's cells", "%"),
        TANK_K_ML,
        TANK_WITHOUT_K_ML,
    ),
    herd_wide=True,
)

COW_TESTS_OVER = Measure(
    name="cow_tests_over",
    unit="tests",
    per=("cow",),
    doc="tests in a row at which the cow's cells were over the limit",
    source="definition",
    check="worked by hand: test_cow_cells",
    compute=cow_tests_over,
    charts=NO_CHART,
    needs=("cow_tests",),
    options=(LIMIT,),
    lookback_s=PAST_S,
    facts=(PREVIOUS, CELLS_K_ML),
)

MEASURES = (COW_CELLS_K_ML, COW_TESTS_OVER)
