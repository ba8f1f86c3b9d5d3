"""One quarter against the cow's other three, with what the rule made of it."""

from __future__ import annotations

from collections.abc import Iterable

from sentinel.flow.language import Words, told
from sentinel.flow.views.charts.draw import (
    Frame,
    Picture,
    day_axis,
    key,
    level,
    moment_line,
    nothing,
    picture,
    room,
    scale,
    thinned,
)
from sentinel.flow.views.charts.series import Series
from sentinel.flow.views.charts.shapes import Points, crosses, dots, line
from sentinel.flow.views.parts.timeline import GLANCE_S
from sentinel.flow.views.quarter import QuarterPage

TOP, MIDDLE, GAP, LOW = 18.0, 132.0, 40.0, 78.0


def quarter_chart(
    page: QuarterPage,
    words: Words,
    zone: str,
    at: int,
    measured: Series | None = None,
    limit: float | None = None,
    raised_at: Iterable[int] = (),
) -> Picture:
    """Conductivity of a quarter and the mean of the others for 14 days, and below it the rule's own measure.

    `limit` is a bound in mS/cm, where the rule has one; `measured` the rule's measure with its bound, where that is
    another figure; `raised_at` the moments at which alerts were raised. A reading whose cup came off is a cross.
    """
    readings = [r for r in reversed(page.readings) if r.own is not None]
    title = told(
        words,
        "Cow {cow}, {quarter} quarter: conductivity over 14 days against her other quarters",
        cow=page.cow,
        quarter=words.say(QUARTERS.get(page.quarter, page.quarter)),
    )
    name = f"quarter-{page.cow}-{page.quarter}"
    if not readings:
        return nothing(name, title, words.say("No conductivity was read in these 14 days."))
    own = [(r.at, r.own) for r in readings if r.own is not None and not r.kicked_off]
    off = [(r.at, r.own) for r in readings if r.own is not None and r.kicked_off]
    others = [(r.at, r.others) for r in readings if r.others is not None]
    across = (at - GLANCE_S, at)
    figures = [value for _, value in (*own, *off, *others)] + ([limit] if limit is not None else [])
    frame = Frame(across, room(figures, 0.6), TOP, MIDDLE)
    raised = [moment for moment in raised_at if across[0] < moment <= across[1]]
    lower, height = _measured(measured, across, words, raised, at) if measured else ([], MIDDLE)
    last = Frame(across, (0, 1), height - 1, height)
    items = [("line-own", words.say("this quarter")), ("line-other", words.say("mean of the others"))]
    items += [("cross", words.say("cup came off"))] if off else []
    named, end = key(items, height + 34)
    parts = [
        scale(frame, words, "mS/cm"),
        line(_placed(frame, others), "line-other"),
        line(_placed(frame, own), "line-own", 2),
        dots(_placed(frame, own), "line-own"),
        crosses(_placed(frame, off)),
        level(frame, limit, told(words, "bound {bound}", bound=words.number(limit, 2))) if limit is not None else "",
        *(moment_line(frame, m, told(words, "raised {time}", time=words.time(m, at))) for m in raised),
        *lower,
        day_axis(last, words, zone),
        named,
    ]
    sentences = [
        _told(words.say("This quarter"), own, words, at),
        _told(words.say("Mean of the others"), others, words, at),
        told(words, "Its cup came off early at {n} of these milkings.", n=len(off)) if off else "",
        told(words, "The bound is {bound} mS/cm.", bound=words.number(limit, 2)) if limit is not None else "",
        _told_measure(measured, words, at) if measured else "",
        *(told(words, "Raised {time}.", time=words.time(moment, at)) for moment in raised),
    ]
    return picture(name, title, sentences, end, parts)


QUARTERS = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}


def _placed(frame: Frame, points: Points) -> list[tuple[float, float]]:
    return [frame.at(*point) for point in thinned(points)]


def _measured(
    measured: Series, across: tuple[int, int], words: Words, raised: Iterable[int], at: int
) -> tuple[list[str], float]:
    """The lower part: the rule's measure with its bounds; and where it ends."""
    bounds = [bound for bound in (measured.bound, measured.now_bound) if bound is not None]
    top = MIDDLE + GAP
    frame = Frame(across, room([0.0, *bounds, *(value for _, value in measured.points)]), top, top + LOW)
    parts = [
        line([(frame.left, top - GAP + 8), (frame.right, top - GAP + 8)], "axis", 0.5),
        scale(frame, words, words.say(measured.unit)),
        line(_placed(frame, measured.points), "line-own", 2),
        dots(_placed(frame, measured.points), "line-own"),
        *(line([(frame.across(m), top), (frame.across(m), frame.bottom)], "raised", 1.2) for m in raised),
    ]
    if measured.bound is not None:
        label_text = told(words, "bound {bound}", bound=words.number(measured.bound, 2))
        parts.append(level(frame, measured.bound, label_text, above=measured.now_bound is None))
    if measured.now_bound is not None:
        label_text = told(words, "cannot wait: {bound}", bound=words.number(measured.now_bound, 2))
        parts.append(level(frame, measured.now_bound, label_text))
    return parts, frame.bottom


def _told(name: str, points: Points, words: Words, at: int) -> str:
    """A line's figures in words: first, last, highest."""
    if not points:
        return ""
    highest = max(points, key=lambda point: point[1])
    return told(
        words,
        "{name}: first {first} mS/cm, last {last}, highest {most} ({time}).",
        name=name,
        first=words.number(points[0][1], 2),
        last=words.number(points[-1][1], 2),
        most=words.number(highest[1], 2),
        time=words.time(int(highest[0]), at),
    )


def _told_measure(measured: Series, words: Words, at: int) -> str:
    """The rule's measure in words."""
    if not measured.points:
        return ""
    highest = max(measured.points, key=lambda point: point[1])
    text = told(
        words,
        "Signs of a change: {last} {unit} at the last milking, highest {most} ({time}).",
        last=words.number(measured.points[-1][1], 2),
        unit=words.say(measured.unit),
        most=words.number(highest[1], 2),
        time=words.time(highest[0], at),
    )
    if measured.bound is not None:
        text += " " + told(words, "The rule's bound is {bound}.", bound=words.number(measured.bound, 2))
    return text
