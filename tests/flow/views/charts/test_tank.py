"""A tank's charts: its temperature, cells and bacteria with their limits."""

from __future__ import annotations

from flow.views.charts.looked_at import WORDS, read, texts
from view_farm import AT

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.views.charts import (
    tank_chart,
)
from sentinel.flow.views.tank import Reading, TankPage, TankTest


def test_a_tank_is_drawn_with_its_limit() -> None:
    """Temperature of two weeks, cells and bacteria of four months."""
    page = TankPage(
        "1", True, AT, (Reading(AT, 4.2, None), Reading(AT - HOUR_S, 7.5, 900.0)),
        (TankTest(AT - DAY_S, 210, None), TankTest(AT - 90 * DAY_S, 180, 12)), {"temperature": 6.0, "cells": 400.0}, (),
    )  # fmt: skip
    warm = tank_chart(page, "temperature", WORDS, "UTC", AT)
    assert {"°C", "bound 6"} <= set(texts(read(warm)))
    assert warm.sentences == ("Last 4,2 °C (12:00), highest 7,5 (11:00).", "The rule's bound is 6.")
    cells = tank_chart(page, "cells", WORDS, "UTC", AT)
    assert cells.sentences[0].startswith("Last 210 1000/ml")
    assert "bound 400" in texts(read(cells))
    assert not any("bound" in one for one in texts(read(tank_chart(page, "bacteria", WORDS, "UTC", AT))))
