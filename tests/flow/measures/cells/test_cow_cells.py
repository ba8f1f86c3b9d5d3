"""Cells of single cows: the score, new and persistent counts, shares of the tank, the herd's mean."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.stats import gmean
from strategies import DAY_0, cow_test_frames
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.cells.cow_cells import linear_score
from sentinel.flow.measures.cells.recording import IMPOSSIBLE, NO_COUNT
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables


def readings(name: str, tests: pd.DataFrame, **options: float) -> pd.DataFrame:
    """The readings of a measure of the cows' tests."""
    measure = measure_named(name)
    return measure.compute(Tables(cow_tests=tests), measure.per[0], measure.settings(options)).frame


def of_cow(*cells: float, every_d: int = 30, cow: str = "7") -> pd.DataFrame:
    """Tests of one cow at these counts, one a month; NaN: the laboratory could not count."""
    frame = table("cow_tests", "cow  at\n" + f"{cow}  00:00\n" * len(cells))
    frame["at"] = DAY_0 + DAY_S * every_d * np.arange(len(cells))
    return frame.assign(cells_k_ml=np.array(cells, float), milk_kg=30.0)


@pytest.mark.parametrize(
    ("score", "cells"),
    # USDA Animal Improvement Programs Laboratory, aipl.arsusda.gov/reference/scspl/scs.htm
    [(0, 12.5), (1, 25), (2, 50), (3, 100), (4, 200), (5, 400), (6, 800), (7, 1600), (8, 3200), (9, 6400)],
)
def test_the_published_table_of_linear_scores(score: int, cells: float) -> None:
    """Each line of the USDA's table, through the measure itself."""
    assert readings("cow_cells_k_ml", of_cow(cells)).iloc[0]["score"] == score


@pytest.mark.parametrize(
    ("before", "after", "difference"),
    # worked in words by Virginia Tech (Bailey 1997): 50,000 to 200,000 is 2 scores, 800,000 to 1,600,000 is 1
    [(50, 200, 2), (800, 1600, 1)],
)
def test_differences_of_scores(before: float, after: float, difference: int) -> None:
    """A doubling of the cells is one score."""
    low, high = linear_score(np.array([before, after]))

    assert high - low == difference


def test_states() -> None:
    """Crossing the bound is new, staying over it is persistent, crossing it once more is again."""
    found = readings("cow_cells_k_ml", of_cow(150, 201, 350, 200, 900, 90))

    assert shown(found, "value previous state tests_over") == lines("""
        value  previous  state       tests_over
        150    -         low         0
        201    150       new         1
        350    201       persistent  2
        200    350       low         0
        900    200       again       1
        90     900       low         0
        """)


def test_first_test() -> None:
    """A count over the bound with no test before it is neither new nor persistent."""
    assert readings("cow_cells_k_ml", of_cow(900)).iloc[0]["state"] == "first"


def test_persistent_after_three() -> None:
    """Where three tests in a row are asked, the second is only still over."""
    found = readings("cow_cells_k_ml", of_cow(80, 300, 300, 300), persistent_after=3)

    assert list(found["state"]) == ["low", "new", "still", "persistent"]


def test_bound_is_strict() -> None:
    """200 k/ml, a linear score of 4, is not over; the smallest step past it is."""
    found = readings("cow_cells_k_ml", of_cow(199.9, 200.0, 200.1))

    assert list(found["state"]) == ["low", "low", "new"]


def test_test_without_a_count() -> None:
    """A test without a count, or with an impossible one, says so and is passed over by the next."""
    found = readings("cow_cells_k_ml", of_cow(300, math.nan, 0, 400))

    assert shown(found, "value previous state tests_over") == lines("""
        value  previous  state       tests_over
        300    -         first       1
        -      -         -           0
        -      -         -           0
        400    300       persistent  2
        """)
    assert list(found["why"])[1:3] == [NO_COUNT, IMPOSSIBLE]


def test_two_hundred_days() -> None:
    """A test 200 days ago is forgotten; one a second younger is not."""
    for second, state in ((0, "first"), (-1, "persistent")):
        tests = of_cow(500, 500, every_d=200)
        tests.loc[1, "at"] += second

        assert readings("cow_cells_k_ml", tests).iloc[-1]["state"] == state


def test_tests_over() -> None:
    """The number of tests in a row over the bound, back at 0 after one that is not."""
    found = readings("cow_tests_over", of_cow(150, 201, 350, math.nan, 360, 200, 900))

    assert [cells[1] for cells in shown(found, "at value")[1:]] == ["0", "1", "2", "-", "3", "0", "1"]


RECORDING = """
    cow  at     cells_k_ml  milk_kg
    7    06:00  100         30
    9    06:00  400         20
    10   06:00  1000        10
    """


def test_shares_by_hand() -> None:
    """Cells times milk over the sum: 3,000 + 8,000 + 10,000 = 21,000 in 60 kg."""
    # by hand: the tank reads 21000 / 60 = 350; without cow 10 it reads 11000 / 50 = 220
    found = readings("cow_cells_share_pct", table("cow_tests", RECORDING))

    assert shown(found, "subject value tank_k_ml tank_without_k_ml cows") == lines("""
        subject  value   tank_k_ml  tank_without_k_ml  cows
        cow:10   47.619  350        220                3
        cow:7    14.286  350        600                3
        cow:9    38.095  350        325                3
        """)


def test_the_cows_own_measure_tells_the_same_share() -> None:
    """The figures in the sentence of a high count are those of the share's own measure."""
    tests = table("cow_tests", RECORDING)
    one, other = readings("cow_cells_k_ml", tests), readings("cow_cells_share_pct", tests)

    assert list(one["share_pct"]) == list(other["value"])
    assert list(one["tank_without_k_ml"]) == list(other["tank_without_k_ml"])


def test_quarters_dilute() -> None:
    """Three parts at 100 and one at 500 make 200: a high part is hidden among the others."""
    # by hand: (3 x 100 + 500) / 4 = 200
    tests = table("cow_tests", "cow  at  cells_k_ml  milk_kg\n" + "".join(f"{n}  06:00  100  8\n" for n in (7, 8, 9)))
    tests = pd.concat([tests, of_cow(500, cow="10").assign(at=tests["at"].iloc[0], milk_kg=8.0)], ignore_index=True)

    assert set(readings("cow_cells_share_pct", tests)["tank_k_ml"]) == {200.0}


def test_cow_without_a_yield() -> None:
    """Without her milk a cow's share cannot be told, and the others' shares are of the rest."""
    tests = table("cow_tests", RECORDING.replace("1000        10", "1000        -"))
    found = readings("cow_cells_share_pct", tests)

    assert shown(found, "subject value cows why") == lines("""
        subject  value   cows  why
        cow:10   -       2     the test gave no milk yield, so her part of the tank cannot be told
        cow:7    27.273  2     -
        cow:9    72.727  2     -
        """)


def test_one_recording_is_not_the_next() -> None:
    """The recording of a month ago has no part in this one, though a cow is missing now."""
    later = table("cow_tests", RECORDING).iloc[:2].assign(at=lambda f: f["at"] + 30 * DAY_S)
    found = readings("cow_cells_share_pct", pd.concat([table("cow_tests", RECORDING), later], ignore_index=True))

    assert list(found[found["at"] > DAY_0 + DAY_S]["cows"]) == [2, 2]


def test_recording_over_a_night() -> None:
    """Sampled over a night, the last cows see the whole recording and the first only themselves."""
    night = RECORDING.replace("9    06:00", "9    14:00").replace("10   06:00", "10   21:00")
    found = readings("cow_cells_share_pct", table("cow_tests", night)).set_index("subject")

    assert dict(found["cows"]) == {"cow:7": 1, "cow:9": 2, "cow:10": 3}
    assert found.loc["cow:10", "value"] == pytest.approx(47.619, abs=1e-3)


def test_herd_mean() -> None:
    """The geometric mean of 100, 400 and 1000 is the cube root of their product."""
    # by hand: (100 x 400 x 1000) ** (1/3) = 341.995; and as scipy.stats.gmean gives it
    found = readings("herd_cells_k_ml", table("cow_tests", RECORDING))

    assert shown(found, "subject value cows over tank_k_ml") == lines("""
        subject  value    cows  over  tank_k_ml
        herd     341.995  3     2     350
        """)
    assert found["value"].iloc[0] == pytest.approx(gmean([100, 400, 1000]), rel=1e-8)


def test_herd_mean_of_published_counts() -> None:
    """The geometric mean of January's counts in a published table comes out as printed."""
    # Fenlon et al. 2017, Irish Vet J 70:9, Table 2: geometric mean of January 395.62
    january = [438, 540, 413, 402, 283, 345]
    tests = table("cow_tests", "cow  at  cells_k_ml\n" + "".join(f"{n}  06:00  {c}\n" for n, c in enumerate(january)))

    assert round(readings("herd_cells_k_ml", tests).iloc[0]["value"], 2) == 395.62


def test_herd_without_a_count() -> None:
    """A recording of which no count came says so."""
    found = readings("herd_cells_k_ml", table("cow_tests", "cow  at\n7  06:00"))

    assert list(found["why"]) == ["no test of the recording gave a cell count"]


herds = st.lists(st.tuples(st.floats(1, 9999), st.floats(1, 60)), min_size=2, max_size=30)


def recorded(herd: list[tuple[float, float]]) -> pd.DataFrame:
    """One recording of a herd of (cells, milk)."""
    frame = table("cow_tests", "cow  at\n" + "".join(f"{n}  06:00\n" for n in range(len(herd))))
    order = [int(name) for name in frame["cow"]]
    return frame.assign(cells_k_ml=[herd[n][0] for n in order], milk_kg=[herd[n][1] for n in order])


@settings(max_examples=40, deadline=None)
@given(herd=herds)
def test_shares_sum_to_all(herd: list[tuple[float, float]]) -> None:
    """The shares of one recording are 100 % together."""
    assert readings("cow_cells_share_pct", recorded(herd))["value"].sum() == pytest.approx(100, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(herd=herds)
def test_without_her(herd: list[tuple[float, float]]) -> None:
    """What the tank would read without a cow is what it reads where she was never tested."""
    tests = recorded(herd)
    whole = readings("cow_cells_share_pct", tests).set_index("subject")
    rest = readings("herd_cells_k_ml", tests[tests["cow"] != "0"].reset_index(drop=True))

    assert whole.loc["cow:0", "tank_without_k_ml"] == pytest.approx(rest.iloc[0]["tank_k_ml"], rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(herd=herds)
def test_herd_mean_lies_between(herd: list[tuple[float, float]]) -> None:
    """The geometric mean lies between the lowest and the highest count, and not over the plain mean."""
    found = readings("herd_cells_k_ml", recorded(herd)).iloc[0]["value"]
    cells = [c for c, _ in herd]

    assert min(cells) - 1e-5 <= found <= min(max(cells), float(np.mean(cells))) + 1e-5


@settings(max_examples=30, deadline=None)
@given(tests=cow_test_frames)
def test_plain_count(tests: pd.DataFrame) -> None:
    """A second opinion, cow by cow and test by test, finds the same runs, shares and means."""
    assume(len(tests))
    found = {(r["subject"], r["at"]): r for r in readings("cow_cells_k_ml", tests).to_dict("records")}
    named = tests[tests["cow"].notna()]
    for row in named.to_dict("records"):
        reading = found[f"cow:{row['cow']}", row["at"]]
        past = named[
            (named["cow"] == row["cow"]) & (named["at"] <= row["at"]) & (named["at"] > row["at"] - 200 * DAY_S)
        ]
        counts = [c for c in past["cells_k_ml"] if c > 0]
        run = 0
        for count in reversed(counts):
            if count <= 200:
                break
            run += 1
        if row["cells_k_ml"] > 0:
            assert reading["tests_over"] == run
        here = named[(named["at"] <= row["at"]) & (named["at"] > row["at"] - 36 * HOUR_S)].drop_duplicates(
            "cow", keep="last"
        )
        both = here[(here["cells_k_ml"] > 0) & (here["milk_kg"] > 0)]
        amount = both["cells_k_ml"] * both["milk_kg"]
        own = amount[both["cow"] == row["cow"]]
        expected = 100 * float(own.iloc[0]) / amount.sum() if len(own) else math.nan
        assert reading["share_pct"] == pytest.approx(expected, rel=1e-6, nan_ok=True)
