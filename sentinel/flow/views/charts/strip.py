"""The picture of two readings of one history: a line a rule, a mark an alert, on the farm's calendar.

It is for the terminal, and so in English.
"""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.language import english
from sentinel.flow.tuning.compare import Change
from sentinel.flow.views.charts.draw import Frame, Picture, day_axis, key, nothing, picture
from sentinel.flow.views.charts.shapes import crosses, diamonds, dots, label, line, triangles

LINE_PX = 22
TOP_PX = 14
STANDALONE = 'style="background:#fff;color:#1b1b1b;font-family:sans-serif" class="chart"'
"""What a picture needs that stands in no page."""


def strip(changed: Sequence[Change], names: Sequence[str], zone: str) -> Picture:
    """Every alert of two readings: as it was, moved, new, or missed. `names`: the rules in their order."""
    title = "Alerts by these rules and by those before"
    lines = [name for name in names if any(change.one.rule == name for change in changed)]
    if not lines:
        return nothing("strip", title, "No alert in this time.")
    moments = [change.one.raised_at for change in changed]
    bottom = TOP_PX + LINE_PX * len(lines)
    frame = Frame((min(moments) - 3600, max(moments) + 3600), (0, len(lines)), TOP_PX, bottom, left=8)
    parts = []
    for n, name in enumerate(lines):
        y = TOP_PX + LINE_PX * (n + 0.75)
        parts += [label(frame.left, y - 9, name), line([(frame.left, y), (frame.right, y)], "axis", 0.5)]
        at = {
            how: [(frame.across(c.one.raised_at), y) for c in changed if c.one.rule == name and c.how in how]
            for how in (("same",), ("earlier", "later"), ("new",), ("missed",))
        }
        parts.append(dots(at["same",], "line-own"))
        parts.append(diamonds(at["earlier", "later"], "line-own", 3.5))
        parts.append(triangles(at["new",]))
        parts.append(crosses(at["missed",]))
    parts.append(day_axis(frame, english(zone), zone))
    marks = (("dot", "as before"), ("diamond", "earlier or later"), ("triangle", "new"), ("cross", "missed"))
    explained, end = key(marks, bottom + 34, 8)
    parts.append(explained)
    counts = {how: sum(change.how == how for change in changed) for how in ("new", "missed", "earlier", "later")}
    told = ", ".join(f"{number} {how}" for how, number in counts.items())
    sentence = f"{len(changed)} {'alert' if len(changed) == 1 else 'alerts'} in all: {told}."
    return picture("strip", title, [sentence], end, parts)


def standalone(shown: Picture) -> str:
    """The picture as a file of its own."""
    return shown.svg.replace('class="chart"', STANDALONE, 1) + "\n"
