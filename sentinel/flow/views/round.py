"""The round's page, to be ticked on the phone or on paper: its worklist, put together as one walks.

What is done at a box stands on that box's card, so that one stop there is one look at the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.model import Subject, kind_of, name_of
from sentinel.flow.ordering import natural_key
from sentinel.flow.schedule.sections import at_box, seen_by
from sentinel.flow.schedule.worklist import Item, Worklist, worklist
from sentinel.flow.subjects import BOXES, PRESSING, STOPS, belongs_to
from sentinel.flow.views.parts.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Card:
    """What is met at one stop: at a box (`box`), or elsewhere in a part of the walk (`box` is empty)."""

    box: str
    items: tuple[Item, ...]

    @property
    def to_tick(self) -> tuple[Item, ...]:
        """The chores that are still to be done here."""
        return tuple(item for item in self.items if item.chore and item.state == "open")


@dataclass(frozen=True, slots=True)
class Stretch:
    """One part of the walk, by the code of one of `STOPS`: its cards in the order in which one comes by."""

    part: str
    cards: tuple[Card, ...]


@dataclass(frozen=True, slots=True)
class RoundPage:
    """The round's list and the same as it is walked; `box_work`: the first stretch with something to do at a box."""

    list: Worklist
    walk: tuple[Stretch, ...]
    box_work: str


def round_page(snapshot: Snapshot) -> RoundPage:
    """The list of the round that is nearest."""
    alerts = seen_by(snapshot.person, snapshot.office, snapshot.alerts)
    found = worklist(alerts, snapshot.tables, snapshot.rules, snapshot.farm, snapshot.at)
    boxes = snapshot.farm.boxes
    items = {part.part: list(part.items) for part in found.parts}
    pressing = items.get(PRESSING.code, [])
    carried = [item for item in pressing if item.chore and _box_of(item, boxes)]  # a chore is ticked where it is done
    items[PRESSING.code] = [item for item in pressing if item not in carried]
    items[BOXES.code] = [*carried, *items.get(BOXES.code, [])]
    walk = [Stretch(stop.code, _cards(stop.code, items.get(stop.code, ()), boxes)) for stop in STOPS]
    walk = [stretch for stretch in walk if stretch.cards]
    at_boxes = (
        stretch.part
        for stretch in walk
        for card in stretch.cards
        for item in card.items
        if item.state == "open" and at_box(item.subject, boxes)
    )
    return RoundPage(found, tuple(walk), next(at_boxes, ""))


def _cards(part: str, items: Sequence[Item], boxes: Sequence[str]) -> tuple[Card, ...]:
    """The items of a part by the box at which they are done, box by box, and then what is at none."""
    if part != BOXES.code:
        return (Card("", tuple(items)),) if items else ()
    by_box: dict[str, list[Item]] = {}
    for item in items:
        by_box.setdefault(_box_of(item, boxes), []).append(item)
    order = sorted(by_box, key=lambda box: (not box, natural_key(box)))
    return tuple(Card(box, tuple(sorted(by_box[box], key=lambda item: item.state == "over"))) for box in order)


def _box_of(item: Item, boxes: Sequence[str]) -> str:
    """The box at which an item is done; empty if it is done at none."""
    about: tuple[Subject, ...] = (item.subject, *belongs_to(item.subject))
    return next((name_of(one) for one in about if kind_of(one) == "box" and name_of(one) in boxes), "")
