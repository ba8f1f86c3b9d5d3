"""A cow's two weeks on one time line, and the late cows as bars."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from sentinel.flow.language import Words, told
from sentinel.flow.views.charts.draw import WIDTH, Frame, Picture, day_axis, key, nothing, picture, room, scale
from sentinel.flow.views.charts.shapes import bar, bars, crosses, label, line, squares
from sentinel.flow.views.cow import CowPage
from sentinel.flow.views.parts.late_cows import LateCows
from sentinel.flow.views.parts.timeline import GLANCE_S, Mark
from sentinel.flow.views.parts.visits import Visit

MOST_BARS = 12
PALE = 0.5
MOST_ALERTS = 4
TOP, HEIGHT, LANE = 18.0, 110.0, 14.0


def cow_chart(page: CowPage, words: Words, zone: str, at: int) -> Picture:
    """A cow's milkings of 14 days with their kg; incomplete ones, failures and refusals marked; alerts above."""
    title = told(words, "Cow {cow}: milkings over 14 days", cow=page.cow)
    name = f"cow-{page.cow}"
    visits = list(reversed(page.visits))
    if not visits:
        return nothing(name, title, words.say("She was not seen at a box in these 14 days."))
    alerts = [mark for mark in page.marks if mark.kind == "alert"][:MOST_ALERTS]
    top = TOP + 12 * len(alerts) + (8 if alerts else 0)
    kg = [v.milk_kg for v in visits if v.milk_kg is not None]
    frame = Frame((at - GLANCE_S, at), room(kg, 5, from_zero=True), top, top + HEIGHT)
    by = {how: [v for v in visits if v.outcome == how] for how in ("milked", "incomplete", "failed", "refused")}
    lane = LANE if by["failed"] or by["refused"] else 0.0
    below = replace(frame, top=frame.bottom, bottom=frame.bottom + lane)
    items = [("bar", words.say("kg per milking"))]
    items += [("mark", words.say("incomplete"))] if by["incomplete"] else []
    items += [("cross", words.say("not attached"))] if by["failed"] else []
    items += [("tick", words.say("not due"))] if by["refused"] else []
    items += [("raised", words.say("alert"))] if alerts else []
    named, end = key(items, below.bottom + 34)
    parts = [
        _spans(alerts, frame, at),
        scale(frame, words, "kg"),
        bars([frame.at(v.at, v.milk_kg) for v in visits if v.milk_kg], frame.bottom),
        squares([frame.at(v.at, v.milk_kg or 0) for v in by["incomplete"]], "mark"),
        crosses([(frame.across(v.at), frame.bottom + LANE / 2) for v in by["failed"]]),
        _ticks([frame.across(v.at) for v in by["refused"]], frame.bottom + LANE / 2 + 3.5),
        day_axis(below, words, zone),
        named,
    ]
    return picture(name, title, _told(page, by, alerts, words, at), end, parts)


def _ticks(places: Sequence[float], bottom: float) -> str:
    """Short strokes that end at a level."""
    steps = "".join(f"M{x:.1f},{bottom:.1f}v-7" for x in places)
    return f'<path class="mark" d="{steps}" stroke="currentColor" fill="none"/>' if places else ""


def _spans(alerts: Sequence[Mark], frame: Frame, at: int) -> str:
    """How long each alert stood, as lines above the milkings; one that stands ends in a triangle."""
    parts = []
    for n, mark in enumerate(alerts):
        y = 8.0 + 12 * n
        begin, end = frame.across(mark.at), frame.across(at if mark.ends is None else mark.ends)
        parts.append(line([(begin, y), (max(end, begin + 3), y)], "raised", 4))
        if mark.ends is None:
            parts.append(f'<path class="tip" d="M{end - 2:.1f},{y - 5:.1f}v10l7,-5z" fill="currentColor"/>')
    return "".join(parts)


def _told(page: CowPage, by: dict[str, list[Visit]], alerts: Iterable[Mark], words: Words, at: int) -> list[str]:
    """The same in words."""
    days = [day for day in page.days if day.milkings]
    kg = sum(day.milk_kg for day in days) / len(days) if days else 0.0
    sentences = [
        told(
            words,
            "{milked|whole milking|whole milkings}, {incomplete} incomplete, {failed} not attached, {refused} not due.",
            **{how: len(visits) for how, visits in by.items()},
        ),
        told(words, "{kg} kg a day on average.", kg=words.number(kg)) if kg else "",
    ]
    if page.last_milked_at is not None:
        sentences.append(told(words, "Last milked {time}.", time=words.time(page.last_milked_at, at)))
    sentences += [told(words, "Alert {time}: {what}.", time=words.time(m.at, at), what=m.words) for m in alerts]
    return sentences


def late_chart(late_cows: LateCows, words: Words, at: int, cow: str = "") -> Picture:
    """Hours since milking of the late cows as lying bars, each with the bound that holds for her; `cow` stands out."""
    title = words.say("Hours since milking of the cows that are late")
    shown = list(late_cows.cows[:MOST_BARS])
    shown += [late for late in late_cows.cows[MOST_BARS:] if late.cow == cow]
    if not shown:
        return nothing("late", title, words.say("No cow is late, as far as the visits are known."))
    most = max(max(late.hours, late.bound_h) for late in shown)
    frame = Frame((0, most * 1.02), (0, 1), 8, 8 + 20 * len(shown), 66, WIDTH - 52)
    parts = []
    for n, late in enumerate(shown):
        y = frame.top + 20 * n
        x = frame.across(late.hours)
        bold = " own" if late.cow == cow else ""
        parts += [
            label(frame.left - 6, y + 12, late.cow, "end", f"label{bold}"),
            bar(frame.left, y + 2, x - frame.left, 13, f"bar{bold}", 1.0 if bold else PALE),
            line([(frame.across(late.bound_h), y), (frame.across(late.bound_h), y + 17)], "limit", 2),
            label(x + 5, y + 12, told(words, "{n} h", n=words.number(late.hours)), "start"),
        ]
    named, end = key([("bar", words.say("hours since milking")), ("limit", words.say("bound"))], frame.bottom + 18)
    more = len(late_cows.cows) - len(shown)
    sentences = [
        told(words, "Known until {time}.", time=words.time(late_cows.known_until, at)) if late_cows.known_until else "",
        *(
            told(
                words,
                "Cow {cow}: {hours} h, bound {bound} h.",
                cow=late.cow,
                hours=words.number(late.hours),
                bound=words.number(late.bound_h),
            )
            for late in shown
        ),
        told(words, "{n|more cow is|more cows are} late.", n=more) if more else "",
    ]
    return picture("late", title, sentences, end, [*parts, named])
