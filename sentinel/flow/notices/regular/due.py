"""What the worklist's notice says besides its alerts, with the same words for places: chores, wires, cows still out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sentinel.flow.language import Words, told
from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule
from sentinel.flow.schedule.grazing import StillOut
from sentinel.flow.schedule.worklist import Item, worklist
from sentinel.flow.settings.farm import Farm
from sentinel.flow.subjects import BOXES, FIELD, STOPS, Place, chore_words, subject_words
from sentinel.flow.tables import Tables

OUT_MOST = 8
"""So many cows still out are named."""


@dataclass(frozen=True, slots=True)
class Due:
    """What the list of a round says besides its alerts: the place and the line of each, and how many things wait.

    `waiting` is the number that the round's page says as well; None where it could not be worked out. `order`: the
    alerts in the order in which the page has them.
    """

    lines: tuple[tuple[Place, str], ...] = ()
    waiting: int | None = None
    order: tuple[int, ...] = ()


def due_in_round(
    alerts: Iterable[Alert], tables: Tables, rules: Mapping[str, Rule], farm: Farm, words: Words, at: int
) -> Due:
    """All that is due in the round whose list is sent at `at`, and how many things wait with the alerts.

    The chores of one box are one line. What an alert already mentions is left out, as it is in the notice.
    """
    list_of_round = worklist(alerts, tables, rules, farm, at)
    stops = {stop.code: stop for stop in STOPS}
    by_place: dict[tuple[Place, str], list[Item]] = {}
    for part in list_of_round.parts:
        for item in part.items:
            if item.alert is None and item.state == "open":
                box = item.chore_place if item.part == BOXES.code else item.key
                by_place.setdefault((stops[item.part], box), []).append(item)
    lines = [(place, _line(items, words, at)) for (place, _), items in by_place.items()]
    if list_of_round.out:
        lines.append((FIELD, _out(list_of_round.out, words)))
    items = [item for part in list_of_round.parts for item in part.items]
    return Due(tuple(lines), list_of_round.waiting, tuple(item.alert for item in items if item.alert is not None))


def _line(items: Sequence[Item], words: Words, at: int) -> str:
    """The chores at one place: `Box 2: filter by 14:00, arm by 09:00 (carried over from the 06:30 round)`."""
    first = items[0]
    if first.part == BOXES.code:
        dues = ", ".join(f"{chore_words(item.chore, words)}{_by(item, words, at)}" for item in items)
        return told(words, "Box {box}: {dues}", box=first.chore_place, dues=dues)
    what = subject_words(first.subject, words)
    text = f"{told(words, 'move the {wire}', wire=what) if first.kind == 'wire' else what}{_by(first, words, at)}"
    return text[:1].upper() + text[1:]


def _by(item: Item, words: Words, at: int) -> str:
    """By when a chore is due, and from which round it was carried over."""
    due = "" if item.due_at is None else f" {told(words, 'by {when}', when=words.time(item.due_at, at))}"
    if item.overdue:
        due += f", {words.say('overdue')}"
    if item.carried_from is None:
        return due
    return f"{due} ({told(words, 'carried over from the {when} round', when=words.time(item.carried_from, at))})"


def _out(out: Sequence[StillOut], words: Words) -> str:
    """The cows still out with their hours since milking, the longest first."""
    cows = []
    for one in out[:OUT_MOST]:
        hours = one.since_milking_h
        cows.append(one.cow if hours is None else f"{one.cow} ({words.number(hours, 1)} {words.say('h')})")
    named = ", ".join(cows)
    if len(out) > OUT_MOST:
        named = told(words, "{cows} and {n} more", cows=named, n=len(out) - OUT_MOST)
    return told(words, "Not seen at a box since grazing ended, with hours since milking: {cows}", cows=named)
