"""Which position of the teats is which, by how the quarters' figures differ."""

from __future__ import annotations

import numpy as np
import pytest

from sentinel.flow.feeds.drafting.guessing.quarters import sources
from sentinel.flow.feeds.drafting.guessing.relations import relations
from sentinel.flow.feeds.drafting.sample.profile import profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample

ROWS = 40
LIES = {"LF": (420, 55), "RF": (420, -80), "LR": (330, 30), "RR": (330, -35)}
"""Along and across, in mm (invented); all are some 500 mm high."""


def told(titles: tuple[str, str, str], quarters: tuple[str, ...] = tuple(LIES), scale: float = 1.0) -> dict[str, str]:
    """Which title is which position, from a wide file whose quarters are called so."""
    chance = np.random.default_rng(5)
    columns: dict[str, tuple[str, ...]] = {}
    for quarter, name in zip(LIES, quarters, strict=True):
        x, y = LIES[quarter]
        for title, middle in zip(titles, (x, y, 500), strict=True):
            figures = (middle + chance.normal(0, 12, ROWS)) * scale
            columns[f"{name} {title}"] = tuple(f"{value:.1f}" for value in figures)
    sample = Sample("delimited", tuple(columns), tuple(columns.values()))
    found = relations([profiled(one, sample) for one in sources(sample)])
    return {
        one.title.removeprefix("{quarter} "): one.field for one in found if one.weight > 0 and one.field[1:] == "_mm"
    }


@pytest.mark.parametrize("quarters", [tuple(LIES), ("VL", "VR", "HL", "HR"), ("FrL", "FrR", "BkL", "BkR")])
@pytest.mark.parametrize("scale", [1.0, 0.1])
def test_along_across_and_height_are_told_whatever_they_are_called(quarters: tuple[str, ...], scale: float) -> None:
    """Heights are alike, across changes its sign, along differs between front and rear; in mm or cm."""
    assert told(("Ppp", "Qqq", "Rrr"), quarters, scale) == {"Ppp": "x_mm", "Qqq": "y_mm", "Rrr": "z_mm"}


def test_what_a_title_says_to_be_something_else_is_no_position() -> None:
    """Conductivity is alike in all quarters too."""
    assert "Conductivity" not in told(("Ppp", "Qqq", "Conductivity"))
