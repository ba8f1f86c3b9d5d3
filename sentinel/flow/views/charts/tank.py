"""A tank's temperature, cells or bacteria with the limit."""

from __future__ import annotations

from collections.abc import Mapping

from sentinel.flow.language import Words, fill, told
from sentinel.flow.views.charts.draw import (
    Frame,
    Picture,
    day_axis,
    level,
    moment_line,
    nothing,
    picture,
    room,
    scale,
    thinned,
)
from sentinel.flow.views.charts.shapes import Points, dots, line
from sentinel.flow.views.parts.timeline import GLANCE_S
from sentinel.flow.views.tank import TESTS_S, TankPage

UNITS: Mapping[str, str] = {"temperature": "°C", "cells": "1000/ml", "bacteria": "1000/ml"}
TITLES: Mapping[str, str] = {
    "temperature": "Tank {tank}: milk temperature over 14 days",
    "cells": "Tank {tank}: cells over the last four months",
    "bacteria": "Tank {tank}: bacteria over the last four months",
}
DOTS_MOST = 40
"""Readings are marked one by one if they are not more."""


def tank_chart(page: TankPage, figure: str, words: Words, zone: str, at: int) -> Picture:
    """`temperature` (14 days), `cells` or `bacteria` (four months) of a tank, with the limit of the farm's rules."""
    title = fill(words.say(TITLES[figure]), {"tank": page.tank})
    name = f"tank-{page.tank}-{figure}"
    points = _points(page, figure)
    if not points:
        return nothing(name, title, words.say("No readings in this period."))
    limit = page.limits.get(figure)
    back = GLANCE_S if figure == "temperature" else TESTS_S
    ends = room([v for _, v in points] + ([limit] if limit is not None else []), 2, from_zero=True)
    begins = max(at - back, points[0][0] - back / 14)
    frame = Frame((begins, at), ends, 18, 148)
    unit, places = UNITS[figure], 1 if figure == "temperature" else 0
    placed = [frame.at(*point) for point in thinned(points)]
    parts = [
        scale(frame, words, unit, places),
        line(placed, "line-own", 2),
        dots(placed, "line-own", 2.6) if len(placed) <= DOTS_MOST else "",
        day_axis(frame, words, zone),
    ]
    last, highest = points[-1], max(points, key=lambda point: point[1])
    sentences = [
        told(
            words,
            "Last {last} {unit} ({at}), highest {most} ({time}).",
            last=words.number(last[1], places),
            unit=unit,
            at=words.time(int(last[0]), at),
            most=words.number(highest[1], places),
            time=words.time(int(highest[0]), at),
        )
    ]
    if limit is not None:
        shown = words.number(limit, places)
        parts.append(level(frame, limit, told(words, "bound {bound}", bound=shown)))
        sentences.append(told(words, "The rule's bound is {bound}.", bound=shown))
    for mark in page.marks:
        if mark.kind == "alert" and mark.at > at - back:
            parts.append(moment_line(frame, mark.at, ""))
            sentences.append(told(words, "Alert {time}: {what}.", time=words.time(mark.at, at), what=mark.words))
    return picture(name, title, sentences, 174, parts)


def _points(page: TankPage, figure: str) -> Points:
    """The figure's values, oldest first."""
    if figure == "temperature":
        return [(r.at, r.temperature_C) for r in reversed(page.readings) if r.temperature_C is not None]
    tests = [(test.at, getattr(test, f"{figure}_k_ml")) for test in reversed(page.tests)]
    return [(moment, value) for moment, value in tests if value is not None]
