"""Four weeks of a cow, in lanes above one axis of time: her milk, her visits, her alerts with their answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sentinel.flow.language import Words, told
from sentinel.flow.views.charts.draw import (
    BAND,
    Frame,
    Picture,
    day_axis,
    key,
    nothing,
    picture,
    room,
    scale,
    thinned,
)
from sentinel.flow.views.charts.shapes import (
    bar,
    bars,
    crosses,
    diamonds,
    dots,
    group,
    label,
    line,
    squares,
    strokes,
    triangles,
)
from sentinel.flow.views.parts.cow_weeks import CowWeeks
from sentinel.flow.views.parts.timeline import Mark

TOP, MILK, GAP, HOURS, ROW, SPAN = 16.0, 50.0, 18.0, 40.0, 10.0, 12.0
"""Where the first lane begins, and how high a lane is, in drawing units."""

MOST_HOURS = 30.0
"""A longer interval is drawn as high as this."""

MOST_ALERTS = 3
IN_VAIN = {"failed": crosses, "not_admitted": triangles, "not_due": strokes}
"""The visits that gave no milk, each with its own mark in a row of its own."""


def cow_chart(weeks: CowWeeks, words: Words, zone: str) -> Picture:
    """A cow's milk a day against what is expected, the hours between her milkings, what came of her other visits.

    Below them how long alerts stood, a diamond where one was answered. What is not known is shaded.
    """
    title = told(words, "Cow {cow}: four weeks", cow=weeks.cow)
    name = f"cow-{weeks.cow}"
    if not weeks.visits and not weeks.marks:
        return nothing(name, title, words.say("She was not seen at a box in these four weeks."))
    across = (weeks.begins, weeks.at)
    milk = Frame(across, _kg_range(weeks), TOP, TOP + MILK)
    hours = Frame(across, _hour_range(weeks), milk.bottom + GAP, milk.bottom + GAP + HOURS)
    marks = [mark for mark in weeks.marks if mark.kind == "alert"][:MOST_ALERTS]
    rows = [outcome for outcome in IN_VAIN if outcome in weeks.by_outcome]
    below = hours.bottom + 3 + ROW * len(rows)
    bottom = below + 4 + SPAN * max(1, len(marks))
    whole = Frame(across, (0, 1), TOP, bottom)
    named, end = key(_key(weeks, marks, words), bottom + 32, 8)
    parts = [
        _unknown(weeks, whole),
        group("milk", _milk(weeks, milk, words)),
        group("visits", _hours(weeks, hours, words), *_in_vain(weeks, hours, rows)),
        group("alerts", _alerts(weeks, marks, whole, below + 4, words)),
        day_axis(whole, words, zone),
        named,
    ]
    return picture(name, title, weeks_in_words(weeks, words), end, parts)


def _kg_range(weeks: CowWeeks) -> tuple[float, float]:
    """Her milk, what is expected of it, and the bound below that."""
    kept = 1.0 - (weeks.drop_pct or 0.0) / 100.0
    expected = [one.expected_kg for one in weeks.yields if one.expected_kg is not None]
    told_kg = [one.kg_a_day for one in weeks.yields if one.kg_a_day is not None]
    return room([*told_kg, *expected, *(kg * kept for kg in expected)], 6)


def _hour_range(weeks: CowWeeks) -> tuple[float, float]:
    most = max([weeks.late_h or 0.0, *(one.hours for one in weeks.intervals)], default=0.0)
    return 0.0, min(MOST_HOURS, max(16.0, most * 1.08))


def _milk(weeks: CowWeeks, frame: Frame, words: Words) -> str:
    """Her milk a day as a line, the expected one beside it, and the rule's bound."""
    own = [(float(one.at), one.kg_a_day) for one in weeks.yields if one.kg_a_day is not None]
    expected = [(float(one.at), one.expected_kg) for one in weeks.yields if one.expected_kg is not None]
    if not own:
        return label(frame.left, frame.top + 20, words.say("no milk weights to work out her yield from"))
    kept = 1.0 - (weeks.drop_pct or 0.0) / 100.0
    placed = [frame.at(*point) for point in thinned(own)]
    return "".join(
        [
            scale(frame, words, words.say("kg in 24 h"), 0),
            line([frame.at(x, y * kept) for x, y in expected], "limit") if weeks.drop_pct and expected else "",
            line([frame.at(*point) for point in expected], "line-other", 1.8) if expected else "",
            line(placed, "line-own", 2),
            dots(placed[-1:], "line-own", 3),
        ]
    )


def _hours(weeks: CowWeeks, frame: Frame, words: Words) -> str:
    """The hours before each milking as stems, a square on an incomplete one, and the bound past which she is late."""
    stems = [frame.at(one.at, one.hours) for one in weeks.intervals]
    cut = [frame.at(one.at, one.hours) for one in weeks.intervals if not one.whole]
    late = frame.down(weeks.late_h) if weeks.late_h is not None and weeks.late_h <= frame.y[1] else None
    return "".join(
        [
            scale(frame, words, words.say("h between milkings"), 0),
            bars(stems, frame.bottom, width=1.6) if stems else "",
            squares(cut, "mark"),
            line([(frame.left, late), (frame.right, late)], "limit") if late is not None else "",
        ]
    )


def _in_vain(weeks: CowWeeks, hours: Frame, rows: Sequence[str]) -> Iterable[str]:
    """The rows of marks of the visits that gave no milk."""
    for n, outcome in enumerate(rows):
        y = hours.bottom + 3 + ROW * n + ROW / 2
        yield IN_VAIN[outcome]([(hours.across(visit.at), y) for visit in weeks.by_outcome[outcome]])


def _alerts(weeks: CowWeeks, marks: Sequence[Mark], frame: Frame, top: float, words: Words) -> str:
    """How long each alert stood, as a line that ends in a tip while it stands; a diamond where it was answered."""
    if not marks:
        return label(frame.left, top + 9, words.say("no alert in these weeks"))
    parts = []
    for n, mark in enumerate(marks):
        y = top + SPAN * n + SPAN / 2
        begin, end = frame.across(mark.at), frame.across(weeks.at if mark.ends is None else mark.ends)
        parts.append(line([(begin, y), (max(end, begin + 3), y)], "raised", 4))
        if mark.ends is None:
            parts.append(f'<path class="tip" d="M{end - 2:.1f},{y - 5:.1f}v10l7,-5z" fill="currentColor"/>')
        if mark.answered_at is not None:
            parts.append(diamonds([(frame.across(mark.answered_at), y)]))
    return "".join(parts)


def _unknown(weeks: CowWeeks, frame: Frame) -> str:
    """The stretches of which no visit is known, shaded."""
    since = weeks.begins if weeks.known_from is None else weeks.known_from
    until = weeks.begins if weeks.known_until is None else weeks.known_until
    ends = ((weeks.begins, since), (max(until, since), weeks.at))
    height = frame.bottom - frame.top
    return "".join(
        bar(frame.across(begin), frame.top, frame.across(end) - frame.across(begin), height, "axis band", BAND)
        for begin, end in ends
        if frame.across(end) - frame.across(begin) >= 1
    )


def _key(weeks: CowWeeks, marks: Sequence[Mark], words: Words) -> list[tuple[str, str]]:
    """What the lines and marks mean; visits with how many they are."""
    items = [("line-other", words.say("expected"))] if any(one.expected_kg is not None for one in weeks.yields) else []
    items += [("limit", words.say("bound"))] if weeks.drop_pct or weeks.late_h else []
    for outcome, text, mark in _counted(weeks, words):
        if outcome in weeks.by_outcome:
            items.append((mark, text))
    items += [("raised", words.say("alert"))] if marks else []
    items += [("diamond", words.say("answered"))] if any(mark.answered_at is not None for mark in marks) else []
    starts_late = weeks.known_from is None or weeks.known_from > weeks.begins
    return items + ([("band", words.say("not known"))] if starts_late else [])


def _counted(weeks: CowWeeks, words: Words) -> list[tuple[str, str, str]]:
    """Each outcome with how many visits ended so, and its mark in the key."""
    n = {outcome: len(visits) for outcome, visits in weeks.by_outcome.items()}
    return [
        ("milked", told(words, "{n} milked", n=n.get("milked", 0)), "bar"),
        ("incomplete", told(words, "{n} incomplete", n=n.get("incomplete", 0)), "mark"),
        ("failed", told(words, "{n} not attached", n=n.get("failed", 0)), "cross"),
        ("not_admitted", told(words, "{n} not admitted", n=n.get("not_admitted", 0)), "triangle"),
        ("not_due", told(words, "{n} not due", n=n.get("not_due", 0)), "tick"),
    ]


def weeks_in_words(weeks: CowWeeks, words: Words) -> list[str]:
    """The same in words, with what is missing."""
    counts = ", ".join(text for _, text, _ in _counted(weeks, words))
    known = [one for one in weeks.yields if one.kg_a_day is not None]
    sentences = [told(words, "Visits in four weeks: {counts}.", counts=counts)]
    if known:
        last = known[-1]
        figures = {"kg": words.number(last.kg_a_day or 0.0), "time": words.time(last.at, weeks.at)}
        sentences.append(
            told(words, "Milk in 24 h at her last milking ({time}): {kg} kg.", **figures)
            if last.expected_kg is None
            else told(
                words,
                "Milk in 24 h at her last milking ({time}): {kg} kg, {expected} kg expected.",
                **figures,
                expected=words.number(last.expected_kg),
            )
        )
    if weeks.intervals:
        longest = max(weeks.intervals, key=lambda one: one.hours)
        sentences.append(
            told(
                words,
                "Longest time between milkings: {hours} h, up to {time}.",
                hours=words.number(longest.hours),
                time=words.time(longest.at, weeks.at),
            )
        )
    if weeks.late_h is not None:
        sentences.append(told(words, "She is late after {hours} h.", hours=words.number(weeks.late_h)))
    return [*sentences, *alerts_in_words(weeks, words), *missing_in_words(weeks, words)]


def alerts_in_words(weeks: CowWeeks, words: Words) -> list[str]:
    """Each alert, and who answered it."""
    said = []
    for mark in weeks.marks:
        said.append(told(words, "Alert {time}: {what}.", time=words.time(mark.at, weeks.at), what=mark.words))
        if mark.answered_at is not None:
            said.append(
                told(
                    words,
                    "{person} answered {time}: {finding}.",
                    person=mark.person,
                    time=words.time(mark.answered_at, weeks.at),
                    finding=words.say(mark.note) if mark.note else words.say("seen"),
                )
            )
    return said


def missing_in_words(weeks: CowWeeks, words: Words) -> list[str]:
    """What of the four weeks is not known, not weighed or could not be read."""
    said = []
    if weeks.known_from is not None and weeks.known_from > weeks.begins:
        said.append(told(words, "Visits are known from {time}.", time=words.time(weeks.known_from, weeks.at)))
    if weeks.known_until is None:
        said.append(words.say("No visits are known yet."))
    if weeks.unweighed:
        said.append(told(words, "{n|milking has|milkings have} no milk weight.", n=weeks.unweighed))
    if weeks.unread:
        said.append(told(words, "{n|visit|visits} that may be hers could not be read.", n=weeks.unread))
    unclear = sum(
        len(visits)
        for outcome, visits in weeks.by_outcome.items()
        if outcome not in ("milked", "incomplete", "failed", "not_admitted", "not_due")
    )
    if unclear:
        said.append(told(words, "Of {n|visit|visits} it is not known how they ended.", n=unclear))
    return said
