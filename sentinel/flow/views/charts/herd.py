"""The herd's charts: milkings per cow day by day, and the cells of the tank and of the cows month by month."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sentinel.flow.herd.cells import CellsOver, HerdCells
from sentinel.flow.language import Words, told
from sentinel.flow.measures.cells.periods import PeriodMean
from sentinel.flow.measures.milking.herd_days import HerdDay
from sentinel.flow.views.charts.draw import Frame, Picture, day_axis, key, level, nothing, picture, room, scale
from sentinel.flow.views.charts.shapes import bars, dots, label, line, squares
from sentinel.flow.views.herd import HerdPage

MONTH_LABEL_PX = 58
"""The room a month's label needs."""


def herd_pictures(page: HerdPage, words: Words, zone: str) -> tuple[Picture, Picture]:
    """Cells by month, and milkings by day."""
    return cells_chart(page.cells, words), milkings_chart(list(reversed(page.days)), words, zone)


def milkings_chart(days: Sequence[HerdDay], words: Words, zone: str) -> Picture:
    """Milkings per cow in milk, a bar a day, the oldest first; a day that is known in part is an open square."""
    title = words.say("The herd: milkings per cow and day")
    rates = [(day, day.per_cow) for day in days if day.per_cow is not None]
    whole = [(day, rate) for day, rate in rates if day.whole]
    if not rates:
        return nothing("herd", title, words.say("No milking is known."))
    ends = room([rate for _, rate in rates], 1, from_zero=True)
    frame = Frame((days[0].begins, days[-1].ends), ends, 18, 148)
    places = {day.begins: frame.at((day.begins + day.ends) / 2, rate) for day, rate in rates}
    part = [places[day.begins] for day, _ in rates if not day.whole]
    items = [("bar", words.say("milkings per cow"))] if whole else []
    items += [("mark", words.say("known in part"))] if part else []
    named, bottom = key(items, 182)
    parts = [
        scale(frame, words, ""),
        bars([places[day.begins] for day, _ in whole], frame.bottom, width=12) if whole else "",
        squares(part, "mark"),
        day_axis(frame, words, zone),
        named,
    ]
    return picture("herd", title, _milkings_words(whole, words), bottom, parts)


def _milkings_words(whole: Sequence[tuple[HerdDay, float]], words: Words) -> list[str]:
    """The same in words."""
    if not whole:
        return [words.say("No full day is known yet.")]
    low, high = min(whole, key=lambda one: one[1]), max(whole, key=lambda one: one[1])
    mean = sum(day.milkings for day, _ in whole) / sum(day.cows for day, _ in whole)
    return [
        told(words, "{rate} milkings per cow and day on average.", rate=words.number(mean, 2)),
        told(
            words,
            "Fewest {low} ({low_day}), most {high} ({high_day}).",
            low=words.number(low[1], 2),
            low_day=words.date(low[0].begins),
            high=words.number(high[1], 2),
            high_day=words.date(high[0].begins),
        ),
    ]


def cells_chart(cells: HerdCells, words: Words) -> Picture:
    """The mean cells of each month, of the tank's tests and of the cows', with the limit."""
    title = words.say("Cells month by month, thousand per ml")
    months = cells.months
    tank, cows = _points(months, lambda one: one.tank), _points(months, lambda one: one.cows)
    if not tank and not cows:
        return nothing("herd-cells", title, words.say("No cell counts for these months."))
    limit = cells.limit_k_ml
    values = [value for _, value in (*tank, *cows)]
    ends = room(values if limit is None else [*values, limit], 50, from_zero=True)
    half = (months[-1].tank.ends - months[-1].begins) / 2
    frame = Frame((months[0].begins, months[-1].tank.ends), ends, 18, 168)
    items = [("line-own", words.say("the tank's tests"))] if tank else []
    items += [("square-other", words.say("the cows' tests"))] if cows else []
    named, bottom = key(items, 204)
    own, other = ([frame.at(at + half, value) for at, value in some] for some in (tank, cows))
    parts = [
        scale(frame, words, words.say("k/ml"), 0),
        line(other, "line-other") + squares(other, "line-other") if other else "",
        line(own, "line-own", 2) + dots(own, "line-own", 2.6) if own else "",
        "" if limit is None else level(frame, limit, told(words, "limit {limit}", limit=words.number(limit, 0))),
        _month_axis(frame, [one.begins for one in months], words),
        named,
    ]
    sentences = [
        *_cells_words(words.say("The tank"), tank, words),
        *_cells_words(words.say("The cows"), cows, words),
        "" if limit is None else told(words, "The limit of the tank is {limit}.", limit=words.number(limit, 0)),
        words.say("The last month is not complete yet.") if months[-1].running else "",
    ]
    return picture("herd-cells", title, sentences, bottom, parts)


def month_words(moment: int, words: Words) -> str:
    """A month as a person writes it: `May 2026`."""
    return words.habit.moment(words.local(moment), "MMM y")


def _points(months: Sequence[CellsOver], of: Callable[[CellsOver], PeriodMean]) -> list[tuple[int, float]]:
    """The begin of each month with a count, and its mean."""
    means = [(one.begins, of(one).mean_k_ml) for one in months]
    return [(begins, mean) for begins, mean in means if mean is not None]


def _month_axis(frame: Frame, begins: Sequence[int], words: Words) -> str:
    """The months below: a tick at the begin of each, and as many named as there is room for."""
    parts, free = [line([(frame.left, frame.bottom), (frame.right, frame.bottom)], "axis", 1)], frame.left - 20
    for moment in begins:
        x = frame.across(moment)
        fits = x >= free and x + MONTH_LABEL_PX <= frame.right + 12
        parts.append(f'<path class="axis" d="M{x:.1f},{frame.bottom:g}v{6 if fits else 3}" stroke="currentColor"/>')
        if fits:
            parts.append(label(x, frame.bottom + 17, month_words(moment, words)))
            free = x + MONTH_LABEL_PX
    return "".join(parts)


def _cells_words(who: str, points: Sequence[tuple[int, float]], words: Words) -> list[str]:
    """The first, the last, the highest and the lowest month in words."""
    if not points:
        return []
    first, last = points[0], points[-1]
    low, high = min(points, key=lambda one: one[1]), max(points, key=lambda one: one[1])
    named = {"first": first, "last": last, "low": low, "high": high}
    values = {name: words.number(value, 0) for name, (_, value) in named.items()}
    months = {f"{name}_month": month_words(at, words) for name, (at, _) in named.items()}
    if len(points) == 1:
        return [told(words, "{who}: {last} ({last_month}).", who=who, **values, **months)]
    return [
        told(
            words,
            "{who}: from {first} ({first_month}) to {last} ({last_month}); "
            "lowest {low} ({low_month}), highest {high} ({high_month}).",
            who=who,
            **values,
            **months,
        )
    ]
