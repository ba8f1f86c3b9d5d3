"""A cow's cell counts at her last milk recordings, against the bound."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.language import Words, told
from sentinel.flow.views.charts.draw import Frame, Picture, nothing, picture
from sentinel.flow.views.charts.shapes import bar, label, line
from sentinel.flow.views.cow import CowTest

MOST_TESTS = 6
WIDE, HIGH = 170.0, 42.0
"""Half as wide as a phone."""


def cells_chart(cow: str, tests: Sequence[CowTest], bound: float | None, words: Words) -> Picture:
    """The cells of the last six tests as bars, the newest at the right and full, against the bound as a dotted line.

    `tests`: the newest first. A test without a count is a gap with a stroke below it.
    """
    title = told(words, "Cow {cow}: cells at her last tests", cow=cow)
    name = f"cells-{cow}"
    shown = list(reversed(tests[:MOST_TESTS]))
    if not shown:
        return nothing(name, title, words.say("no milk recording"), WIDE)
    most = max([one.cells_k_ml or 0.0 for one in shown] + [(bound or 0.0) * 1.25, 1.0])
    frame = Frame((0, MOST_TESTS), (0, most), 4, HIGH - 2, 2, WIDE - 2)
    step = (frame.right - frame.left) / MOST_TESTS
    parts = []
    for n, test in enumerate(shown, MOST_TESTS - len(shown)):
        x = frame.left + step * n + 3
        if test.cells_k_ml is None:
            parts.append(label(x + step / 2 - 6, frame.bottom - 3, "?"))
            continue
        y = frame.down(test.cells_k_ml)
        newest = n == MOST_TESTS - 1
        parts.append(bar(x, y, step - 6, frame.bottom - y, "bar own" if newest else "bar", 1.0 if newest else 0.5))
    parts.append(line([(frame.left, frame.bottom), (frame.right, frame.bottom)], "axis", 1))
    if bound is not None:
        parts.append(line([(frame.left, frame.down(bound)), (frame.right, frame.down(bound))], "limit", 2))
    return picture(name, title, cells_in_words(shown, bound, words), HIGH, parts, WIDE)


def cells_in_words(tests: Sequence[CowTest], bound: float | None, words: Words) -> list[str]:
    """The counts, the oldest first, and the bound."""
    said = [
        told(words, "{day}: {cells} thousand per ml.", day=words.date(one.at), cells=words.number(one.cells_k_ml, 0))
        if one.cells_k_ml is not None
        else told(words, "{day}: no cell count.", day=words.date(one.at))
        for one in tests
    ]
    return said + ([told(words, "Bound: {cells}.", cells=words.number(bound, 0))] if bound is not None else [])
