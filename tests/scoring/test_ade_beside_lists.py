"""A farm of ICAR ADE files alone, without a map, is told of what a farm of lists is; each difference has its reason."""

from __future__ import annotations

from functools import cache

import pytest

from sentinel.flow.model import HOUR_S

from .ade_beside_lists import NO_PLACE, Read, herd_of, read, side_by_side

SEED, DAYS = 3, 24


@cache
def both() -> tuple[Read, Read]:
    """A herd of a seed for choosing, in the standard and as lists."""
    herd = herd_of(SEED, DAYS)
    return read(herd, "ade"), read(herd, "lists")


def test_nothing_of_either_is_set_aside() -> None:
    """The standard needs no map, lists have theirs."""
    ade, lists = both()

    assert (ade.set_aside, lists.set_aside) == (0, 0)
    assert (len(ade.setup.feeds), len(lists.setup.feeds)) == (0, 5)


@pytest.mark.parametrize("rule", ["cow-cells", "yield-drop", "sensor-stuck"])
def test_what_rests_on_cows_and_their_milk_is_told_alike(rule: str) -> None:
    """As many alerts on the same subjects at about the same time."""
    _, _, only_ade, only_lists = side_by_side(*both()).get(rule, (0, 0, [], []))

    assert (only_ade, only_lists) == ([], [])


def test_late_cows_are_the_same_but_for_those_that_come_within_the_hour() -> None:
    """Lists are known hour by hour: a cow that is late for some minutes is never seen there."""
    together, _, only_ade, only_lists = side_by_side(*both())["late-cow"]

    assert together > 50
    assert only_lists == []
    assert all(one.over_at is not None and one.over_at - one.raised_at <= HOUR_S for one in only_ade)


def test_cows_that_fail_are_the_same_but_where_a_drop_of_milk_hides_a_failure() -> None:
    """The standard has no word for it, so a few are told some hours later or earlier."""
    together, _, only_ade, only_lists = side_by_side(*both())["cow-failures"]
    cows = [{one.subject for one in side} for side in (only_ade, only_lists)]

    assert together > 3
    assert len(only_ade) + len(only_lists) < together
    assert len(cows[0] ^ cows[1]) <= 3


def test_what_the_standard_says_less_of_costs_few_quarters() -> None:
    """No cup is said to have come off, so after a milking that was not whole a quarter waits for the next one."""
    together, _, only_ade, only_lists = side_by_side(*both())["quarter-conductivity"]

    assert together > 20
    assert len(only_ade) + len(only_lists) < together / 3


def test_only_what_has_no_place_in_the_standard_is_missing_altogether() -> None:
    """Boxes' logs and the tank."""
    found = side_by_side(*both())

    assert {rule for rule, (_, hers, _, only_lists) in found.items() if only_lists and not hers} <= NO_PLACE.keys()
