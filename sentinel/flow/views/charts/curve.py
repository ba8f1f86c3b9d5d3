"""The picture of many bounds tried: alerts and rings a week, and below it what people found, each with its interval.

It is for the terminal, and so in English.
"""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.language import ENGLISH
from sentinel.flow.rules import Rule, format_quantity, parse_quantity
from sentinel.flow.tuning.advice import missed
from sentinel.flow.tuning.sweep import Tried
from sentinel.flow.tuning.values import own, unit_of
from sentinel.flow.views.charts.draw import Frame, Picture, key, moment_line, nothing, picture, room, scale, ticks
from sentinel.flow.views.charts.shapes import crosses, dots, label, line

TOP, MIDDLE, LOWER, BOTTOM = 22, 150, 182, 270


def curve(rule: Rule, tried: Sequence[Tried], now: Tried, weeks: float) -> Picture:
    """Every value of the key that was tried first; with a second key a line for each of its values."""
    if not tried or not tried[0].settings:
        return nothing("curve", rule.name, "No value could be tried.")
    name = tried[0].settings[0][0]
    unit = unit_of(rule, name)
    too = bool(_tried_too(tried))
    lines: dict[str, list[tuple[float, Tried]]] = {}
    for one in tried:
        group = one.settings[1][1] if too else ""
        lines.setdefault(group, []).append((parse_quantity(one.settings[0][1], unit), one))
    values = [value for some in lines.values() for value, _ in some]
    across = (min(values), max(values) if max(values) > min(values) else min(values) + 1)
    weekly = Frame(across, room([len(one.raised) / weeks for one in tried], from_zero=True), TOP, MIDDLE)
    parts = [scale(weekly, ENGLISH, "a week")]
    as_it_is = own(rule, name)
    if as_it_is is not None and across[0] <= as_it_is <= across[1]:
        parts.append(moment_line(weekly, as_it_is, "as it is"))
    for group, some in lines.items():
        points = [weekly.at(value, len(one.raised) / weeks) for value, one in some]
        parts += [
            line(points, "line-own"),
            dots(points, "line-own"),
            label(points[-1][0], points[-1][1] - 5, group, "end"),
        ]
        parts.append(line([weekly.at(value, one.rings / weeks) for value, one in some], "line-other"))
    shares = Frame(across, (0, 100), LOWER, BOTTOM)
    parts.append(scale(shares, ENGLISH, "% something found"))
    for value, one in next(iter(lines.values())):
        low, high = one.real.interval
        if one.real.whole:
            x = shares.across(value)
            parts.append(line([(x, shares.down(100 * low)), (x, shares.down(100 * high))], "axis"))
            parts.append(dots([(x, shares.down(100 * one.real.value))], "line-own", 3))
        if missed(now, one):
            parts.append(crosses([(shares.across(value), BOTTOM + 8)]))
    for value in ticks(*across):
        x = shares.across(value)
        parts.append(label(x, BOTTOM + 26, format_quantity(value, unit), "middle"))
    marks = (
        ("line-own", "alerts a week"),
        ("line-other", "rings a week"),
        ("dot", "share, 95 %"),
        ("cross", "misses some"),
    )
    explained, end = key(marks, BOTTOM + 46)
    best = f"{name} from {tried[0].settings[0][1]} to {tried[-1].settings[0][1]}: "
    sentence = f"{best}{len(tried)} values; as it is {len(now.raised) / weeks:.1f} alerts a week."
    return picture("curve", f"{rule.name}: what other bounds would have raised", [sentence], end, [*parts, explained])


def _tried_too(tried: Sequence[Tried]) -> set[str]:
    """The second key, if every value has one."""
    keys = [one.settings[1][0] for one in tried if len(one.settings) > 1]
    return set(keys) if len(keys) == len(tried) and len(set(keys)) == 1 else set()
