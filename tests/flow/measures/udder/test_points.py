"""What each sign of trouble in a quarter is worth, and how the signs are said."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.measures.udder.points import SIGNS, Signs, in_words, points

NAN = math.nan

sizes = st.one_of(st.just(NAN), st.floats(-9, 9))


@given(signs=st.tuples(sizes, sizes, sizes, sizes, sizes), which=st.integers(0, 4), more=st.floats(0, 9))
def test_more_of_a_sign_is_never_less_evidence(
    signs: tuple[float, float, float, float, float], which: int, more: float
) -> None:
    """The score rises, or stays, as any one sign rises while the others stay."""
    greater = [sign + more if place == which else sign for place, sign in enumerate(signs)]

    def score(values: list[float]) -> float:
        return float(sum(points(Signs(*(np.array(value) for value in values))).values()))

    assert score(greater) >= score(list(signs)) - 1e-9


def test_no_sign_but_conductivity_and_milk_can_raise_alone() -> None:
    """At their most the ratio and the interval add 0.4 and 0.3 points, this milking 2.6, the rest up to the bound."""
    most = points(Signs(*(np.array(value) for value in (99.0, 3.6, 3.0, 99.0, 99.0))))

    assert {name: round(float(part), 2) for name, part in most.items()} == {
        "rise": 2.59,
        "ewma": 3.89,
        "yield": 3.69,
        "ratio": 0.4,
        "interval": 0.3,
    }


def test_words_name_the_strongest_first() -> None:
    """What adds most is said first, what adds next to nothing is not said, the conductivity always."""
    parts = {"rise": 0.4, "ewma": 0.1, "yield": 3.0, "ratio": 0.4, "interval": 0.31}

    assert in_words(parts, 6.4, 41.6, 1.36, 14.2) == (
        "gave 42 % less than this quarter usually does; conductivity 6 % above its usual; "
        "36 % above her two best quarters; 14 h since the last milking"
    )
    assert in_words(dict.fromkeys(SIGNS, 0.0), -0.4, NAN, NAN, NAN) == "conductivity as usual"
