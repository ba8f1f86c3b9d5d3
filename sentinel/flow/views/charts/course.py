"""A quarter's conductivity over time, in a strip small enough for four on a phone, laid out like the udder."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.views.charts.draw import Frame
from sentinel.flow.views.charts.shapes import dots, line
from sentinel.flow.views.parts.udder import Udder

WIDE, HIGH = 150.0, 26.0
LEAST = 1.0
"""A strip is at least so many mS/cm high, so that what a healthy quarter does from milking to milking looks small."""


def strips(udder: Udder | None) -> dict[str, str]:
    """The strip of each quarter as SVG, on a scale that all four have in common; none without an udder.

    They have no words: the page says the figures beside one, as it is hidden from people who hear the page.
    """
    if udder is None:
        return {}
    known = [value for one in udder.quarters for value in (*one.course, one.usual) if value is not None]
    low, high = (min(known), max(known)) if known else (0.0, LEAST)
    spare = max(0.1, (LEAST - (high - low)) / 2)
    return {one.quarter: _strip(one.course, one.usual, (low - spare, high + spare)) for one in udder.quarters}


def _strip(course: Sequence[float | None], usual: float | None, ends: tuple[float, float]) -> str:
    """Readings from left to right, the newest with a dot, and the quarter's usual as a dashed line."""
    frame = Frame((0, max(1, len(course) - 1)), ends, 4, HIGH - 4, 4, WIDE - 5)
    points = [frame.at(n, value) for n, value in enumerate(course) if value is not None]
    newest = [frame.at(len(course) - 1, course[-1])] if course and course[-1] is not None else []
    level = line([(0, frame.down(usual)), (WIDE, frame.down(usual))], "line-other", 1.5) if usual is not None else ""
    return (
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HIGH:g}" aria-hidden="true" '
        f'focusable="false">{level}{line(points, "line-own", 2.2)}{dots(newest, "line-own", 3.5)}</svg>'
    )
