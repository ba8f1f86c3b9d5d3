"""The parts every chart is made of: a frame with its scales, lines, marks, and the figures in words around it all.

A chart is SVG text with `role="img"`, a <title> and a <desc> that tell the same in words. Colours come from the
page's CSS by class (see `sentinel.flow.views.charts`); without it everything is drawn in the colour of the text. No
meaning rests on colour: lines differ by their dashes and marks by their shape.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from sentinel.flow.language import Words
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.schedule.days import days_between
from sentinel.flow.views.charts.shapes import Points, bar, crosses, diamonds, dots, label, line, squares, triangles

WIDTH = 360
"""All charts are as wide as a phone; the page stretches them."""

BAND = 0.2
"""How strongly a stretch is shaded of which nothing is known."""

MOST_POINTS = 110
MOST_TICKS = 40
LABEL_PX = 66
"""The room a day's label needs."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where things are drawn: the values from `x` to `y` ends fill the box from `left`, `top` to `right`, `bottom`."""

    x: tuple[float, float]
    y: tuple[float, float]
    top: float
    bottom: float
    left: float = 36
    right: float = WIDTH - 8

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point lies, in the drawing's units; what lies outside is drawn at the edge."""
        return self.across(x), self.down(y)

    def across(self, x: float) -> float:
        """How far to the right a value of x lies."""
        part = (min(max(x, self.x[0]), self.x[1]) - self.x[0]) / ((self.x[1] - self.x[0]) or 1)
        return self.left + part * (self.right - self.left)

    def down(self, y: float) -> float:
        """How far down a value of y lies."""
        part = (min(max(y, self.y[0]), self.y[1]) - self.y[0]) / ((self.y[1] - self.y[0]) or 1)
        return self.bottom - part * (self.bottom - self.top)


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole chart: its title, the sentences that say its figures, and the SVG, which holds both as well."""

    title: str
    sentences: tuple[str, ...]
    svg: str


def picture(
    name: str, title: str, sentences: Iterable[str], height: float, parts: Iterable[str], width: float = WIDTH
) -> Picture:
    """A whole chart. `name` makes its ids unique on a page; `sentences` say its figures."""
    ident = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower() or "chart"
    shown = tuple(part for part in sentences if part)
    svg = (
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" role="img" '
        f'aria-labelledby="{ident}-title" aria-describedby="{ident}-desc">'
        f'<title id="{ident}-title">{escape(title)}</title><desc id="{ident}-desc">{escape(" ".join(shown))}</desc>'
        f"{''.join(parts)}</svg>"
    )
    return Picture(title, shown, svg)


def nothing(name: str, title: str, sentence: str, width: float = WIDTH) -> Picture:
    """A chart of which there is nothing to show, saying so."""
    return picture(name, title, [sentence], 40, [label(4, 24, sentence)], width)


def level(frame: Frame, value: float, text: str, above: bool = True) -> str:
    """A bound across the frame with its name at the left end, above or below it."""
    y = frame.down(value)
    named = label(frame.left + 3, y - 3 if above else y + 11, text, "start", "label limit-label")
    return line([(frame.left, y), (frame.right, y)], "limit") + named


def moment_line(frame: Frame, at: float, text: str) -> str:
    """An upright line at a moment with a triangle on it and its name beside it, on the side where there is room."""
    x = frame.across(at)
    left = x > (frame.left + frame.right) / 2
    named = label(x - 6 if left else x + 6, frame.top + 9, text, "end" if left else "start", "label raised-label")
    tip = f'<path class="tip" d="M{x - 4:.1f},{frame.top:.1f}h8l-4,7z" fill="currentColor"/>'
    return line([(x, frame.top), (x, frame.bottom)], "raised", 1.2) + tip + named


def scale(frame: Frame, words: Words, unit: str, places: int = 1) -> str:
    """The upright scale at the left, with a faint line across at each step and the unit above it."""
    parts = []
    for value in ticks(*frame.y):
        y = frame.down(value)
        parts.append(
            f'<path class="axis grid" d="M{frame.left},{y:.1f}H{frame.right}" stroke="currentColor" opacity=".25"/>'
        )
        parts.append(label(frame.left - 4, y + 4, words.number(value, places), "end"))
    parts.append(label(2, frame.top - 5, unit))
    return "".join(parts)


def day_axis(frame: Frame, words: Words, zone: str) -> str:
    """The days below: a tick at each midnight of the farm, and as many named as there is room for.

    Over less than three days every sixth hour has a tick of its own.
    """
    begin, end = int(frame.x[0]), int(frame.x[1])
    days = days_between(begin - 1, end, zone)
    named = {day: words.date(day) for day in days}
    if end - begin < 3 * DAY_S:
        every = [
            day + 6 * HOUR_S * n for day in [*days_between(begin - DAY_S, begin - 1, zone), *days] for n in (1, 2, 3)
        ]
        named |= {moment: words.time(moment, moment) for moment in every if begin <= moment <= end}
    parts = [line([(frame.left, frame.bottom), (frame.right, frame.bottom)], "axis", 1)]
    next_free, crowded = frame.left - LABEL_PX / 3, len(named) > MOST_TICKS
    for moment in sorted(named):
        x = frame.across(moment)
        begins = max(x - LABEL_PX / 2, frame.left - LABEL_PX / 3)
        fits = begins >= next_free and x <= frame.right - LABEL_PX / 2
        if fits or not crowded:
            parts.append(f'<path class="axis" d="M{x:.1f},{frame.bottom:g}v{6 if fits else 3}" stroke="currentColor"/>')
        if fits:
            parts.append(label(begins + LABEL_PX / 2, frame.bottom + 17, named[moment], "middle"))
            next_free = begins + LABEL_PX
    return "".join(parts)


def key(items: Iterable[tuple[str, str]], y: float, left: float = 36) -> tuple[str, float]:
    """What the lines and marks mean, below the chart, and where it ends: pairs of (class or mark, words), in rows."""
    parts, x = [], left
    for kind, text in items:
        wide = 34 + 5.6 * len(text)
        if x > left and x + wide > WIDTH:
            x, y = left, y + 15
        parts.append(_sample(kind, x, y - 4))
        parts.append(label(x + 22, y, text))
        x += wide
    return "".join(parts), y + 8


def _sample(kind: str, x: float, y: float) -> str:
    match kind:
        case "cross":
            return crosses([(x + 9, y)])
        case "bar":
            return bar(x + 4, y - 5, 10, 9)
        case "mark":
            return squares([(x + 9, y)], "mark")
        case "square-other":
            return squares([(x + 9, y)], "line-other")
        case "dot":
            return dots([(x + 9, y)], "line-own", 4)
        case "triangle":
            return triangles([(x + 9, y)])
        case "diamond":
            return diamonds([(x + 9, y)])
        case "band":
            return bar(x, y - 5, 18, 10, "axis band", BAND)
        case "tick":
            return line([(x + 9, y + 3), (x + 9, y - 3)], "mark")
        case "line-own":
            return line([(x, y), (x + 18, y)], kind, 2) + dots([(x + 9, y)], kind)
        case _:
            return line([(x, y), (x + 18, y)], kind)


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round values from low to high, up to a given number.

    >>> ticks(4.2, 7.1), ticks(0, 34)
    ([5.0, 6.0, 7.0], [0.0, 10.0, 20.0, 30.0])
    """
    span = high - low
    if not span > 0 or not math.isfinite(span):
        return [low]
    base = 10 ** math.floor(math.log10(span / most))
    step = next(base * m for m in (1, 2, 5, 10, 20) if span / (base * m) <= most)
    first = math.ceil(low / step - 1e-9)
    return [round(float(n * step), 10) for n in range(first, math.floor(high / step + 1e-9) + 1)]


def room(values: Iterable[float], least: float = 0.0, from_zero: bool = False) -> tuple[float, float]:
    """A scale's two ends around some values, with a little room; at least `least` apart."""
    known = [value for value in values if math.isfinite(value)]
    if not known:
        return 0.0, least or 1.0
    low, high = min(known), max(known)
    if from_zero:
        return min(0.0, low), max(high * 1.12, least or 1.0)
    spare = max((high - low) * 0.12, (least - (high - low)) / 2, 1e-6)
    return low - spare, high + spare


def thinned(points: Points, most: int = MOST_POINTS) -> list[tuple[float, float]]:
    """A limited number of points, in order: the lowest and highest of each stretch, and always the first and last.

    >>> thinned([(n, n % 10) for n in range(1000)], 8)
    [(0, 0), (9, 9), (250, 0), (259, 9), (500, 0), (509, 9), (750, 0), (759, 9), (999, 9)]
    """
    whole = list(points)
    if len(whole) <= most:
        return whole
    size = math.ceil(len(whole) / max(1, most // 2))
    kept: set[int] = {0, len(whole) - 1}
    for begin in range(0, len(whole), size):
        stretch = range(begin, min(begin + size, len(whole)))
        kept |= {min(stretch, key=lambda n: whole[n][1]), max(stretch, key=lambda n: whole[n][1])}
    return [whole[n] for n in sorted(kept)]
