"""Drops of milk are found, and healthy cows left alone, on records that are not whole."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from sentinel.flow.model import DAY_S
from sentinel.simulator import HerdSpec, Simulated, simulate

from ..episodes import seconds
from ..report import shipped_rules
from .records import twice_a_day, with_gaps
from .report import scores_of
from .score import BEFORE, NAME, NOW, YieldScore
from .truth import spells_of, true_shares


@cache
def herd() -> Simulated:
    """A small herd of a seed for choosing."""
    return simulate(HerdSpec(60, 1, 90, seed=4))


@cache
def scores() -> dict[tuple[str, str], YieldScore]:
    """What the rule that ships finds in it."""
    return scores_of(herd(), shipped_rules()[NAME])


def test_the_truth_holds_what_was_planted() -> None:
    """A cow that goes off her milk by a third gives a third less in the middle of it, by the shares as by the plan."""
    shares = true_shares(herd())
    planted = [one for one in herd().items if one["kind"] == "yield-drop"]
    assert planted
    for one in planted:
        start, until = seconds(one["from"]), seconds(one["until"])
        days = (np.array([start, until]) - herd().calendar.first) // DAY_S
        left = np.nanmin(shares[one["subject"][4:]][days[0] : days[1] + 1])
        if until - start >= 4 * DAY_S:  # it comes and goes within a day and a half
            assert left <= 1.0 - one["figures"]["drop_pct"] / 100 + 0.01


def test_spells_are_the_days_on_which_she_gave_less() -> None:
    """None where she gave all she should, and each as deep as its two worst days."""
    shares = true_shares(herd())
    for one in spells_of(herd(), shares):
        days = (np.array([one.start, one.until]) - herd().calendar.first) // DAY_S
        hers = shares[one.cow][days[0] : days[1]]
        assert (hers < 0.9).all()
        assert one.depth <= 1.0 - hers.min() + 1e-9


def test_twice_a_day_the_cows_give_the_same() -> None:
    """Over the days the herd's milk is what it was, within what the first and the last milkings hold."""
    visits = herd().tables.visits
    twice = twice_a_day(herd(), visits)

    assert twice["milk_kg"].sum() == pytest.approx(visits["milk_kg"].sum(), rel=0.04)
    assert len(twice) / len(visits[visits["outcome"] == "milked"]) < 1.0


def test_gaps_take_milkings_and_change_none() -> None:
    """Some of them are gone, the others as they were."""
    visits = herd().tables.visits
    left = with_gaps(herd(), visits)

    assert 0.80 < len(left) / len(visits) < 0.96
    merged = left.merge(visits[["cow", "start", "milk_kg"]], on=["cow", "start"], suffixes=("", "_whole"))
    assert len(merged) == len(left)
    assert (merged["milk_kg"].fillna(-1) == merged["milk_kg_whole"].fillna(-1)).all()


@pytest.mark.parametrize("record", ["boxes", "twice a day"])
def test_missing_milkings_make_no_drops(record: str) -> None:
    """Where the rule before told of healthy cows day by day, it tells of hardly one."""
    before, now = (scores()[f"{record}, with gaps", way] for way in (BEFORE, NOW))

    assert before.false_per_1000 > 15
    assert now.false_per_1000 <= 3


@pytest.mark.parametrize("record", ["boxes", "twice a day"])
def test_on_a_whole_record_as_many_drops_are_found(record: str) -> None:
    """None is lost for it, and half of them not by more than six hours later.

    Where ill cows come seldom some are lost, as the page says: their intervals look like those of lost milkings.
    """
    before, now = (np.array(scores()[record, way].hours) for way in (BEFORE, NOW))

    assert (~np.isnan(before)).sum() >= 1
    assert (np.isnan(now) <= np.isnan(before)).all()
    both = ~np.isnan(now) & ~np.isnan(before)
    assert np.median(now[both] - before[both]) <= 6
