"""How likely figures are a field's, in each unit that they may be in."""

from __future__ import annotations

import numpy as np
import pytest

from sentinel.flow.feeds.drafting.guessing.expected import figures_score
from sentinel.flow.feeds.drafting.sample.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample
from sentinel.flow.tables import table_named

CHANCE = np.random.default_rng(1)


def figures(middle: float, spread: float, count: int = 200) -> Profile:
    """A column of figures about a median, on a logarithmic scale."""
    values = np.exp(np.log(middle) + spread * CHANCE.standard_normal(count))
    return profiled(Source("x", tuple(values.round(2).tolist())), Sample("delimited"))


def ranked(key: str, profile: Profile, unit: str = "") -> list[str]:
    """The units, the likeliest first."""
    table, field = key.split(".")
    scores = figures_score(key, table_named(table).column(field).unit, profile, unit)
    return sorted(scores, key=lambda one: -scores[one])


@pytest.mark.parametrize(
    ("key", "middle", "spread", "unit"),
    [
        ("quarters.conductivity_mS_cm", 5.1, 0.1, "mS/cm"),
        ("quarters.conductivity_mS_cm", 510, 0.1, "mS/m"),
        ("quarters.conductivity_mS_cm", 5100, 0.1, "uS/cm"),
        ("tank.temperature_C", 3.8, 0.1, "degC"),
        ("tank.temperature_C", 39, 0.02, "degF"),
        ("visits.duration_s", 320, 0.6, "s"),
        ("visits.duration_s", 5.3, 0.6, "min"),
        ("tank.cells_k_ml", 210_000, 0.15, "cells/ml"),
        ("visits.milk_kg", 23, 0.45, "lb"),
    ],
)
def test_the_unit_is_the_one_in_which_figures_are_usual(key: str, middle: float, spread: float, unit: str) -> None:
    """No milk in a tank has 39 degrees centigrade, and no quarter conducts 510 mS/cm (common practice, no source)."""
    assert ranked(key, figures(middle, spread))[0] == unit


def test_kilograms_and_litres_cannot_be_told_by_figures() -> None:
    """They differ by three in a hundred: both stay likely."""
    scores = figures_score("visits.milk_kg", "kg", figures(10, 0.45))

    assert abs(scores["kg"] - scores["l"]) < 1


def test_a_unit_in_the_title_leaves_only_that() -> None:
    """Whatever the figures say."""
    assert ranked("visits.milk_kg", figures(23, 0.45), "kg") == ["kg"]


def test_live_weights_are_no_milk() -> None:
    """Figures that are mostly out of bounds are none of a field's."""
    assert "kg" not in figures_score("visits.milk_kg", "kg", figures(640, 0.08))
    assert figures_score("cows.group", "", figures(10, 0.4)) == {}
