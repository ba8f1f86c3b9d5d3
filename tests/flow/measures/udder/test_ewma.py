"""The moving average and its limits against published figures, and its run lengths by simulation and exactly."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.measures.udder.ewma import READINGS, WEIGHT, WIDTH, ewma, ewma_of_last, ewma_sd

# NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.4 (doi 10.18434/M32189): weight 0.3, target 50, sd 2.0539
NIST_DATA = "52.0 47.0 53.0 49.3 50.1 47.0 51.0 50.1 51.2 50.5 49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1"
NIST_EWMA = (
    "50.00 50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 50.11 49.36 49.52 50.05 49.38 49.92 50.73 "
    "51.23 51.94 51.99"
)

# Lucas and Saccucci 1990, Technometrics 32:1-12, Table 3, as quoted in the CRAN package spc: average run lengths of
# two-sided charts from the target on
SHIFTS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0)
LUCAS_SACCUCCI = {
    (0.5, 3.071): "500 255 88.8 35.9 17.5 6.53 3.63 2.50 1.93 1.58 1.34 1.07",
    (0.03, 2.437): "500 76.7 29.3 17.6 12.6 8.07 5.99 4.80 4.03 3.49 3.11 2.55",
}


def exact_run_length(weight: float, width: float, shift: float, nodes: int = 120) -> float:
    """The average number of readings until a chart begun at the target passes its steady limits.

    Crowder's integral equation L(u) = 1 + 1/w int L(y) f((y - (1 - w) u) / w) dy over the limits, with normal f
    moved by `shift` standard deviations, solved at Gauss-Legendre nodes (Crowder 1987, Technometrics 29:401; the
    citation from memory).
    """
    limit = width * np.sqrt(weight / (2.0 - weight))
    place, share = np.polynomial.legendre.leggauss(nodes)
    place, share = limit * place, limit * share

    def density(begin: np.ndarray | float) -> np.ndarray:
        z = (place - (1.0 - weight) * np.asarray(begin)[..., None]) / weight - shift
        return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi) / weight * share)

    lengths = np.linalg.solve(np.eye(nodes) - density(place), np.ones(nodes))
    return 1.0 + float(np.dot(density(0.0), lengths))


def simulated_run_lengths(weight: float, width: float, shift: float, runs: int, seed: int) -> np.ndarray:
    """The run lengths of many simulated charts."""
    chance = np.random.default_rng(seed)
    limit = width * ewma_sd(weight, 1.0, 10**6)
    average = np.zeros(runs)
    length = np.zeros(runs, np.int64)
    going = np.arange(runs)
    while len(going):
        average = weight * (chance.standard_normal(len(going)) + shift) + (1.0 - weight) * average
        length[going] += 1
        inside = np.abs(average) <= limit
        going, average = going[inside], average[inside]
    return length


def test_average_of_nist() -> None:
    """All 21 averages of the handbook's example come out as printed, the target first."""
    data = [float(x) for x in NIST_DATA.split()]

    averages = [50.0, *ewma(data, 0.3, 50.0)]

    assert [f"{z:.2f}" for z in averages] == NIST_EWMA.split()


def test_limits_of_nist() -> None:
    """The handbook's limits are 52.5884 and 47.4115 (cut off after four decimals), and no average is outside."""
    width = 3.0 * float(ewma_sd(0.3, 2.0539, 10**6))

    assert [int((50.0 + side * width) * 1e4) / 1e4 for side in (1, -1)] == [52.5884, 47.4115]
    assert np.abs(ewma([float(x) for x in NIST_DATA.split()], 0.3, 50.0) - 50.0).max() < width


def test_spread_of_the_first_average() -> None:
    """After one reading the average has the weight times the readings' spread, after many the steady one."""
    assert float(ewma_sd(0.3, 2.0, 1)) == pytest.approx(0.6, rel=1e-12)
    assert float(ewma_sd(0.3, 2.0, 10**6)) == pytest.approx(2.0 * np.sqrt(0.3 / 1.7), rel=1e-12)


@pytest.mark.parametrize(("weight", "width"), LUCAS_SACCUCCI)
def test_run_lengths_exactly(weight: float, width: float) -> None:
    """The exact method gives every run length of Lucas and Saccucci to its last printed digit."""
    printed = LUCAS_SACCUCCI[weight, width].split()

    for shift, text in zip(SHIFTS, printed, strict=True):
        decimals = len(text.partition(".")[2])
        assert exact_run_length(weight, width, shift) == pytest.approx(float(text), abs=0.505 * 10.0**-decimals)


def test_run_length_to_ten_digits() -> None:
    """Weight 0.25, width 3, shift 1: 11.154267016 readings, as the manual of the CRAN package spc prints it."""
    assert f"{exact_run_length(0.25, 3.0, 1.0):.9f}" == "11.154267016"


@pytest.mark.parametrize(("weight", "width", "length"), [(0.5, 2.0, 26.45), (0.05, 2.0, 127.53)])
def test_run_lengths_of_crowder(weight: float, width: float, length: float) -> None:
    """Without a shift, as Crowder 1987, Technometrics 29:401, has it (quoted in the CRAN package spc)."""
    assert exact_run_length(weight, width, 0.0) == pytest.approx(length, abs=0.005)


@pytest.mark.parametrize(("weight", "width"), LUCAS_SACCUCCI)
@pytest.mark.parametrize("shift", [0.5, 1.0, 2.0])
def test_run_lengths_by_simulation(weight: float, width: float, shift: float) -> None:
    """Simulated charts stop as soon as published, within four standard errors."""
    printed = float(LUCAS_SACCUCCI[weight, width].split()[SHIFTS.index(shift)])

    lengths = simulated_run_lengths(weight, width, shift, runs=8_000, seed=3)

    error = lengths.std() / np.sqrt(len(lengths))
    assert lengths.mean() == pytest.approx(printed, abs=4.0 * error + 0.005 * printed)


def test_run_length_of_the_chart_in_use() -> None:
    """The weight and width in use give about 500 readings between false signs, and see a shift of one sd in 14.3."""
    # Lucas and Saccucci 1990 (the pair 0.40, 3.054 from memory)
    assert exact_run_length(WEIGHT, WIDTH, 0.0) == pytest.approx(500, abs=0.5)
    assert exact_run_length(WEIGHT, WIDTH, 1.0) == pytest.approx(14.3, abs=0.05)


@given(st.lists(st.floats(-10, 10), min_size=READINGS, max_size=60))
def test_of_last_differs_by_no_more_than_it_says(values: list[float]) -> None:
    """The average of the last 12 is that of all within 0.22 % of what the whole one was 12 readings before."""
    whole = ewma(values, WEIGHT, 0.0)
    last, number = ewma_of_last([np.array([v]) for v in values[-READINGS:]], WEIGHT)

    before = abs(whole[-READINGS - 1]) if len(values) > READINGS else 0.0
    assert abs(last[0] - whole[-1]) <= 0.0022 * before + 1e-12
    assert number[0] == READINGS


def test_of_last_passes_over_what_is_missing() -> None:
    """A milking without a reading leaves the average as it was, and is not counted."""
    nan = float("nan")
    found, number = ewma_of_last([np.array([2.0, nan]), np.array([nan, nan]), np.array([1.0, 4.0])], 0.5)

    assert found.tolist() == [0.5 * 1.0 + 0.5 * (0.5 * 2.0), 2.0]
    assert number.tolist() == [2, 1]


def test_of_last_needs_a_reading() -> None:
    """Without any reading there is nothing to average."""
    with pytest.raises(ValueError, match="at least one reading"):
        ewma_of_last([], WEIGHT)
