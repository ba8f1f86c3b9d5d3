"""Words, lines, bars and marks as SVG, in drawing units."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

Points = Sequence[tuple[float, float]]

DASHES = {"line-own": "", "line-other": "6 3", "limit": "2 3", "raised": "8 2 2 2", "axis": ""}
"""How each kind of line is dashed, so that it is told apart without colour."""


def label(x: float, y: float, text: str, anchor: str = "start", kind: str = "label") -> str:
    """A word at a place; `anchor` is `start`, `middle` or `end`."""
    return (
        f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}" font-size="11" text-anchor="{anchor}" fill="currentColor">'
        f"{escape(text)}</text>"
    )


def line(points: Points, kind: str, width: float = 1.5) -> str:
    """A line through points in drawing units."""
    where = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dashes = DASHES.get(kind, "")
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<polyline class="{kind}" points="{where}" fill="none" stroke="currentColor" stroke-width="{width:g}"{dashed} '
        'stroke-linejoin="round"/>'
    )


def dots(points: Points, kind: str, size: float = 2.2) -> str:
    """Round marks, in one path: strokes of no length with round ends."""
    steps = "".join(f"M{x:.1f},{y:.1f}h0" for x, y in points)
    return (
        f'<path class="{kind}" d="{steps}" fill="none" stroke="currentColor" stroke-width="{2 * size:g}" '
        'stroke-linecap="round"/>'
        if points
        else ""
    )


def squares(points: Points, kind: str, size: float = 3.0) -> str:
    """Hollow square marks, in one path."""
    steps = "".join(f"M{x - size:.1f},{y - size:.1f}h{2 * size}v{2 * size}h{-2 * size}z" for x, y in points)
    return f'<path class="{kind}" d="{steps}" fill="none" stroke="currentColor"/>' if points else ""


def crosses(points: Points, kind: str = "mark", size: float = 3.5) -> str:
    """Crosses, in one path."""
    steps = "".join(
        f"M{x - size:.1f},{y - size:.1f}l{2 * size},{2 * size}m{-2 * size},0l{2 * size},{-2 * size}" for x, y in points
    )
    return f'<path class="{kind}" d="{steps}" fill="none" stroke="currentColor" stroke-width="1.8"/>' if points else ""


def bar(x: float, y: float, width: float, height: float, kind: str = "bar", strength: float = 1.0) -> str:
    """An upright or lying bar."""
    return (
        f'<rect class="{kind}" x="{x:.1f}" y="{y:.1f}" width="{max(width, 0.5):.1f}" height="{max(height, 0.5):.1f}" '
        f'fill="currentColor" fill-opacity="{strength:g}"/>'
    )


def bars(points: Points, bottom: float, kind: str = "bars", width: float = 3) -> str:
    """Upright bars from a level, in one path."""
    steps = "".join(f"M{x:.1f},{bottom:g}V{min(y, bottom - 0.5):.1f}" for x, y in points)
    return f'<path class="{kind}" d="{steps}" fill="none" stroke="currentColor" stroke-width="{width:g}"/>'


def triangles(points: Points, kind: str = "mark", size: float = 3.5) -> str:
    """Hollow triangles that point down, in one path."""
    steps = "".join(f"M{x - size:.1f},{y - size:.1f}h{2 * size:g}l{-size:g},{2 * size:g}z" for x, y in points)
    return f'<path class="{kind}" d="{steps}" fill="none" stroke="currentColor" stroke-width="1.4"/>' if points else ""


def diamonds(points: Points, kind: str = "tip", size: float = 5.0) -> str:
    """Filled diamonds, in one path."""
    steps = "".join(
        f"M{x:.1f},{y - size:.1f}l{size:g},{size:g}l{-size:g},{size:g}l{-size:g},{-size:g}z" for x, y in points
    )
    return f'<path class="{kind}" d="{steps}" fill="currentColor"/>' if points else ""


def strokes(points: Points, kind: str = "mark", size: float = 3.0) -> str:
    """Short upright strokes about a place, in one path."""
    steps = "".join(f"M{x:.1f},{y - size:.1f}v{2 * size:g}" for x, y in points)
    return f'<path class="{kind}" d="{steps}" fill="none" stroke="currentColor"/>' if points else ""


def group(kind: str, *parts: str) -> str:
    """Parts that belong together, by the name of what they show."""
    return f'<g class="{kind}">{"".join(parts)}</g>'
