"""The week's notice on how the herd is doing, in words: a handful of lines, each with what it was before."""

from __future__ import annotations

from sentinel.flow.herd.cells import HerdCells, TankMean
from sentinel.flow.herd.figures import Averages
from sentinel.flow.herd.watched import alerts_in
from sentinel.flow.herd.week import HerdWeek
from sentinel.flow.language import Words, told
from sentinel.flow.model import Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.regular.week_times import HERD_WEEK
from sentinel.flow.settings.people import Person


def herd_week_notice(at: int, desk: Desk, person: Person, week: HerdWeek | str) -> Notice:
    """The week's notice; `week` is the sentence that says why it could not be worked out, if it could not."""
    words = desk.speaks()
    lines = [week] if isinstance(week, str) else _lines(week, at, words)
    title = told(words, "The herd's week to {day}", day=words.date(at))
    return Notice(at, person.name, HERD_WEEK, title, "\n".join(line for line in lines if line), "round")


def _lines(week: HerdWeek, at: int, words: Words) -> list[str]:
    """What there is to say, the herd first, then its cells, then what stands."""
    lines = (
        [words.say("No milking is known in the whole week.")] if week.week is None else _herd(week.week, week, words)
    )
    lines += [_tank(tank, words) for tank in week.cells.tanks]
    lines += [_year(week.cells, words), _standing(week, words)]
    if week.known_until is None:
        return lines
    known = told(words, "Data up to {when}.", when=words.time(week.known_until, at))
    return [*lines, f"{words.say('In brackets: the two weeks before.')} {known}" if week.before else known]


def _herd(now: Averages, week: HerdWeek, words: Words) -> list[str]:
    """Cows, milkings, milk, late cows, and what was broken off."""
    before = week.before

    def was(name: str, places: int) -> str:
        value = None if before is None else getattr(before, name)
        return "" if value is None else f" ({words.number(value, places)})"

    lines = []
    if now.cows is not None and now.per_cow is not None:
        cows = f"{words.number(now.cows, 0)}{was('cows', 0)}"
        milkings = f"{words.number(now.per_cow, 2)}{was('per_cow', 2)}"
        lines.append(
            told(words, "Cows in milk {cows}, milkings per cow and day {milkings}.", cows=cows, milkings=milkings)
        )
    if now.kg_per_cow is not None:
        kg = f"{words.number(now.kg_per_cow)}{was('kg_per_cow', 1)}"
        lines.append(told(words, "Milk per cow and day, kg: {kg}.", kg=kg))
    if now.late_pct is not None:
        late, bound = f"{words.number(now.late_pct)}{was('late_pct', 1)}", words.number(week.late_bound)
        lines.append(told(words, "Late, % of the cows: {late}; the bound is {bound}.", late=late, bound=bound))
    if now.unfinished_pct is not None:
        share = f"{words.number(now.unfinished_pct)}{was('unfinished_pct', 1)}"
        lines.append(told(words, "Milkings broken off or failed, %: {share}.", share=share))
        box = week.worst_box
        if box is not None and box.failed_pct is not None:
            most = {"box": box.box, "share": words.number(box.failed_pct)}
            lines[-1] += f" {told(words, 'Box {box} failed most: {share} %.', **most)}"
    return lines


def _tank(tank: TankMean, words: Words) -> str:
    """One tank's mean against the limit."""
    if tank.mean_k_ml is None or tank.room_k_ml is None:
        return told(words, "Tank {tank}: its mean cell count is not known yet.", tank=tank.tank)
    figures = {
        "tank": tank.tank,
        "mean": words.number(tank.mean_k_ml, 0),
        "limit": words.number(tank.limit_k_ml, 0),
        "room": words.number(abs(tank.room_k_ml), 0),
    }
    if not tank.months:
        line = told(words, "Tank {tank}: the last test read {mean} k/ml cells, the limit is {limit}.", **figures)
    elif tank.room_k_ml < 0:
        line = told(words, "Tank {tank}: cells average {mean} k/ml, {room} over the limit of {limit}.", **figures)
    else:
        line = told(words, "Tank {tank}: cells average {mean} k/ml, {room} below the limit of {limit}.", **figures)
    if tank.year_ago_k_ml is None:
        return line
    return f"{line} {told(words, 'A year ago {mean}.', mean=words.number(tank.year_ago_k_ml, 0))}"


def _year(cells: HerdCells, words: Words) -> str:
    """The year so far against the same part of last year."""
    if not cells.years:
        return ""
    year, last = cells.years[-1], cells.same_part
    parts = []
    for name, now, then in (
        (words.say("tank"), year.tank.mean_k_ml, last.tank.mean_k_ml if last else None),
        (words.say("cows"), year.cows.mean_k_ml, last.cows.mean_k_ml if last else None),
    ):
        if now is not None:
            was = "" if then is None else f", {told(words, 'last year by now {mean}', mean=words.number(then, 0))}"
            parts.append(f"{name} {words.number(now, 0)}{was}")
    return told(words, "Mean cells this year, k/ml: {cells}.", cells="; ".join(parts)) if parts else ""


def _standing(week: HerdWeek, words: Words) -> str:
    """How many alerts are open, as many as the first page lists, in how many troubles, and which way they go."""
    if not week.watched:
        return words.say("No open alerts.")
    ways = [one.way for one in week.watched]
    so_many = {"n": alerts_in(week.watched), "troubles": len(ways)}
    going = {"worse": ways.count("worse"), "easing": ways.count("easing")}
    if so_many["n"] == len(ways):
        if set(ways) == {"steady"}:
            return told(words, "{n|open alert|open alerts}, none of them changing.", **so_many)
        return told(words, "{n|open alert|open alerts}: {worse} getting worse, {easing} easing.", **so_many, **going)
    if set(ways) == {"steady"}:
        return told(
            words,
            "{n|open alert|open alerts} with {troubles|cause|causes}, none of them changing.",
            **so_many,
        )
    return told(
        words,
        "{n|open alert|open alerts} with {troubles|cause|causes}: {worse} getting worse, {easing} easing.",
        **so_many,
        **going,
    )
