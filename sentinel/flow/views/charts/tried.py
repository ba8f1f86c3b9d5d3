"""A bound that is tried, drawn on the readings: the worst of each subject on each day, both bounds, what changes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sentinel.flow.language import Words, told
from sentinel.flow.rules.quantities import unit_words
from sentinel.flow.schedule.days import days_of
from sentinel.flow.tuning.compare import Change
from sentinel.flow.tuning.trial import Peaks
from sentinel.flow.views.charts.draw import Frame, Picture, day_axis, key, level, nothing, picture, room, scale
from sentinel.flow.views.charts.shapes import crosses, dots, line, triangles

MOST_DOTS = 500
"""So many readings are drawn: the worst ones."""

TOP, BOTTOM = 24, 190


def tried_chart(
    peaks: Peaks, own: float, other: float, changed: Sequence[Change], unit: str, words: Words, since: int, until: int
) -> Picture:
    """The readings since a moment with the rule's own bound and the one that is tried, in the measure's unit."""
    title = words.say("The worst reading of each on each day")
    if not len(peaks.value):
        return nothing("tried", title, words.say("There is no reading in this time."))
    sign = 1.0 if peaks.over else -1.0
    worst = np.argsort(-sign * peaks.value, kind="stable")[:MOST_DOTS]
    shown = peaks.value[worst]
    low, high = room([*shown.tolist(), own, other])
    furthest = 3 * max(abs(own), abs(other))
    frame = Frame((since, until), (low, min(high, furthest)) if furthest else (low, high), TOP, BOTTOM)
    points = [frame.at(at, value) for at, value in zip(peaks.at[worst].tolist(), shown.tolist(), strict=True)]
    marks = {how: [] for how in ("new", "missed")}  # type: dict[str, list[tuple[float, float]]]
    days = days_of(peaks.at, words.zone).tolist()
    value_at = dict(zip(zip(peaks.subject, days, strict=True), peaks.value.tolist(), strict=True))
    for change in changed:
        if change.how in marks:
            [day] = days_of(np.array([change.one.raised_at]), words.zone).tolist()
            value = change.one.value if change.one.value is not None else own
            marks[change.how].append(frame.at(change.one.raised_at, value_at.get((change.one.subject, day), value)))
    parts = [
        scale(frame, words, unit_words(unit, words)),
        dots(points, "line-own", 1.4),
        level(frame, own, words.say("as it is"), above=own >= other),
    ]
    if own != other:
        y = frame.down(other)
        parts.append(line([(frame.left, y), (frame.right, y)], "raised", 1.5))
        parts.append(level(frame, other, words.say("tried"), above=other > own))
    parts += [triangles(marks["new"]), crosses(marks["missed"]), day_axis(frame, words, words.zone)]
    named, end = key(
        [("dot", words.say("reading")), ("triangle", words.say("would appear")), ("cross", words.say("would go"))],
        BOTTOM + 36,
    )
    sentence = told(
        words,
        "{n|alert|alerts} would appear, {gone} would go.",
        n=len(marks["new"]),
        gone=len(marks["missed"]),
    )
    return picture("tried", title, [sentence], end, [*parts, named])
