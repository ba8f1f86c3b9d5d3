"""Which axis of an export is along the cow and which across her is told from the teats themselves."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest

from sentinel.flow.measures.boxes.peer_baseline import named
from sentinel.flow.measures.boxes.teat_positions import ACROSS, ALONG, HEIGHT, UNTOLD, Teats, roles, teats_of
from sentinel.flow.tables import FarmFacts, FeedFacts, Tables, wide
from sentinel.simulator import HerdSpec, simulate

AXES = ("x_mm", "y_mm", "z_mm")
DECLARED = FeedFacts("milkings", ("visits", "quarters", "quarters.z_mm"))
OPEN = FeedFacts("icar", ("visits", "quarters"))


@pytest.fixture(scope="module")
def herd() -> Tables:
    """Some days of a simulated herd, whose exports have x along the cow, y across her and z upwards."""
    return simulate(HerdSpec(cows=60, boxes=2, days=11, seed=3)).tables


def written(herd: Tables, order: tuple[int, ...], signs: tuple[int, ...], feed: FeedFacts) -> Teats:
    """The same teats in an export that calls the axes otherwise and counts them the other way."""
    visits = herd.visits.copy()
    for place, (source, sign) in enumerate(zip(order, signs, strict=True)):
        for to, came in zip(wide(AXES[place]), wide(AXES[source]), strict=True):
            visits[to] = sign * herd.visits[came]
    return teats_of(Tables(visits=visits, farm=FarmFacts(feeds=(feed,))), named(visits))


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_whatever_the_axes_are_called_a_shift_is_told_as_the_cow_stands(herd: Tables, order: tuple[int, ...]) -> None:
    """And whichever way each of them is counted. How height is counted nothing tells."""
    for signs in product((1, -1), repeat=3):
        teats = written(herd, order, signs, OPEN)
        end = len(teats.ahead) - 1
        along, across, height = (order.index(axis) for axis in range(3))

        assert [teats.role(axis, 0, end) for axis in (along, across, height)] == [ALONG, ACROSS, HEIGHT]
        assert str(teats.direction(along, 5.0 * signs[along], 0, end)) == "in front of"
        assert str(teats.direction(across, 5.0 * signs[across], 0, end)) == "to the left of"
        assert str(teats.direction(across, -5.0 * signs[across], 0, end)) == "to the right of"
        assert str(teats.direction(height, 5.0, 0, end)) == "above or below"


def test_a_map_says_that_height_counts_upwards(herd: Tables) -> None:
    """As its column is declared."""
    teats = written(herd, (0, 1, 2), (1, 1, 1), DECLARED)
    end = len(teats.ahead) - 1

    assert [str(teats.direction(2, shift, 0, end)) for shift in (5.0, -5.0)] == ["above", "below"]


@pytest.mark.parametrize(
    ("ahead", "right", "told"),
    [
        ((130, 4, 10), (3, 90, 1), (ALONG, ACROSS, HEIGHT)),
        ((2, -120, 5), (-95, 1, 0), (ACROSS, ALONG, HEIGHT)),
        ((130, 0, 0), (0, 0, 0), (ALONG, UNTOLD, UNTOLD)),
        ((130, 90, 10), (3, 90, 1), (UNTOLD, UNTOLD, UNTOLD)),
        ((12, 0, 0), (0, 11, 0), (UNTOLD, UNTOLD, UNTOLD)),
        ((0, 0, 0), (0, 0, 0), (UNTOLD, UNTOLD, UNTOLD)),
    ],
)
def test_what_the_teats_do_not_tell_is_not_known(
    ahead: tuple[float, ...], right: tuple[float, ...], told: tuple[int, ...]
) -> None:
    """Only one axis, axes that are turned against the cow, teats too near to each other, no teats at all."""
    assert roles(np.array(ahead, dtype=float), np.array(right, dtype=float)) == told


def test_a_shift_on_an_axis_that_is_not_known_is_told_without_its_way(herd: Tables) -> None:
    """It is there all the same."""
    teats = written(herd, (2, 2, 2), (1, 1, 1), OPEN)

    assert str(teats.direction(0, 5.0, 0, len(teats.ahead) - 1)) == "away from"
