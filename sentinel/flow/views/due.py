"""What the worklist's notice says besides its alerts, in the same words of place: chores, wires, cows still out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sentinel.flow import notices
from sentinel.flow.farm import Farm
from sentinel.flow.model import Alert
from sentinel.flow.notices import shown_time
from sentinel.flow.rulebook import Rule
from sentinel.flow.rulebook.quantities import format_number
from sentinel.flow.tables import Tables
from sentinel.flow.views.grazing import StillOut
from sentinel.flow.views.worklist import PARTS, Item, worklist

OUT_MOST = 8
"""So many cows still out are named."""


def due_lines(
    alerts: Iterable[Alert], tables: Tables, rules: Mapping[str, Rule], farm: Farm, at: int
) -> list[tuple[str, str]]:
    """The place (a heading of the notice) and the line of all that is due in the round whose list is sent at `at`.

    The chores of one box are one line. What an alert tells of already is left out, as the notice has it.
    """
    found = worklist(alerts, tables, rules, farm, at)
    heading = dict(zip(PARTS, (notices.PRESSING, *notices.PLACES), strict=True))
    by_place: dict[tuple[str, str], list[Item]] = {}
    for part in found.parts:
        for item in part.items:
            if item.alert is None and item.state == "open":
                box = item.chore_place if item.part == "boxes" else item.key
                by_place.setdefault((heading[item.part], box), []).append(item)
    lines = [(place, _line(items, farm.zone, at)) for (place, _), items in by_place.items()]
    if found.out:
        lines.append((notices.PLACES[2], _out(found.out, farm, at)))
    return lines


def _line(items: Sequence[Item], zone: str, at: int) -> str:
    """The chores at one place: `Box 2: filter by 14:00, arm by 09:00 (since the 06:30 round)`."""
    first = items[0]
    if first.part == "boxes":
        return f"Box {first.chore_place}: " + ", ".join(f"{item.chore}{_by(item, zone, at)}" for item in items)
    said = f"{'move the ' if first.kind == 'wire' else ''}{first.words}{_by(first, zone, at)}"
    return said[:1].upper() + said[1:]


def _by(item: Item, zone: str, at: int) -> str:
    """By when a chore is due, and since which round it waits."""
    due = "" if item.due_at is None else f" by {shown_time(item.due_at, at, zone)}"
    if item.overdue:
        due += ", overdue"
    return due if item.carried_from is None else f"{due} (since the {shown_time(item.carried_from, at, zone)} round)"


def _out(out: Sequence[StillOut], farm: Farm, at: int) -> str:
    """The cows still out with their hours since milking, the longest first."""
    cows = []
    for one in out[:OUT_MOST]:
        hours = one.since_milking_h
        cows.append(one.cow if hours is None else f"{one.cow} ({format_number(hours, 1, farm.decimal)} h)")
    more = f" and {len(out) - OUT_MOST} more" if len(out) > OUT_MOST else ""
    return f"Not seen at a box since their grazing ended, with hours since milking: {', '.join(cows)}{more}"
