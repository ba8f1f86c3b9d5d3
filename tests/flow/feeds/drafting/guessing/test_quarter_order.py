"""Which of four unknown words is likely which quarter is told by what is measured there."""

from __future__ import annotations

import numpy as np

from sentinel.flow.feeds.drafting.guessing.quarter_order import likely_order

CHANCE = np.random.default_rng(5)
ROWS = 60


def figures(**middles: float) -> dict[str, np.ndarray]:
    """Figures around a middle for each label, which vary as milk does."""
    return {label: middle * np.exp(CHANCE.normal(0, 0.35, ROWS)) for label, middle in middles.items()}


def test_rear_quarters_give_more_milk() -> None:
    """Whatever they are called and in whatever order they stand; D is right in many languages."""
    milk = figures(KG=3.0, DP=2.2, DG=3.1, KP=2.3)

    assert likely_order(["DG", "KP", "KG", "DP"], [milk]) == ("KP", "DP", "KG", "DG")


def test_what_hardly_varies_is_no_milk() -> None:
    """Conductivity may be higher in front; the milk beside it tells."""
    steady = {label: np.full(ROWS, 5.0 + (label[1] == "P")) + CHANCE.normal(0, 0.1, ROWS) for label in _LABELS}

    assert likely_order(_LABELS, [steady, figures(KP=2.3, DP=2.2, KG=3.0, DG=3.1)]) == ("KP", "DP", "KG", "DG")


_LABELS = ["KP", "DP", "KG", "DG"]


def test_without_milk_sides_are_told_by_positions() -> None:
    """Left and right lie on two sides of a middle, and what stands first is front."""
    across = {label: CHANCE.normal(-60 if label[0] == "K" else 60, 8, ROWS) for label in _LABELS}

    assert likely_order(["DP", "KP", "DG", "KG"], [across]) == ("KP", "DP", "KG", "DG")


def test_four_words_of_no_two_parts_have_no_order() -> None:
    """They stay as they stand."""
    assert likely_order(["one", "two", "three", "four"], [figures(one=1, two=2, three=3, four=4)]) == ()
    assert likely_order(_LABELS, []) == ()
