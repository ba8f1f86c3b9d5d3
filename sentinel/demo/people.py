"""The two invented people of the demo: what they do when their phones tell them something.

They know only what a person knows: the notices that reached them, and the hour. Nothing here looks into the store
or into the list of what was planted.
"""

from __future__ import annotations

import urllib.parse
import urllib.request
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sentinel.demo.farm import MARIT
from sentinel.demo.phone import Message
from sentinel.flow.model import Alert, Notice

BLOCKS = {(6, 50): ("west",), (16, 50): ("east", "north")}
"""Hour and minute at which the played operator is at the grazing wires, twenty minutes into each round, and the blocks
whose turn it is by the plan: the afternoon's in the morning, the night's and the next morning's in the evening."""

LOOKED_AFTER_S = 33 * 60
"""From the notice about the box until Marit has been there and answers."""


@dataclass(frozen=True, slots=True, order=True)
class Action:
    """Something a person does at a moment.

    `how`: `link` (answer through the notice's link), `answer` (`sentinel answer`), `done` (`sentinel done`).
    `what` is the finding or the chore; `alert` the alert's number or 0; `place` the chore's place; `quiet` actions
    are not shown.
    """

    at: int
    how: str
    what: str
    note: str = ""
    alert: int = 0
    place: str = ""
    link: str = ""
    quiet: bool = False


def rounds(start: int, until: int, zone: str) -> Iterator[int]:
    """The moments within a stretch at which the operator is at the wire."""
    day = datetime.fromtimestamp(start, ZoneInfo(zone)).date()
    while True:
        for hour, minute in BLOCKS:
            moment = int(datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZoneInfo(zone)).timestamp())
            if moment >= until:
                return
            if moment > start:
                yield moment
        day += timedelta(days=1)


def wire_moved(moment: int, zone: str) -> list[Action]:
    """The wires of a round are moved."""
    clock = datetime.fromtimestamp(moment, ZoneInfo(zone))
    blocks = BLOCKS[(clock.hour, clock.minute)]
    return [Action(moment, "done", "wire", place=block, quiet=True) for block in blocks]


class Operator:
    """Marit: answers the box through the link, the quarter from the farm's computer, and records a filter."""

    def __init__(self, start: int, until: int, zone: str) -> None:
        self._rounds, self._zone = list(rounds(start, until, zone)), zone
        self._seen_to: set[int] = set()

    def habits(self) -> list[Action]:
        """What is done at every round, whatever the phone says."""
        return [action for moment in self._rounds for action in wire_moved(moment, self._zone)]

    def reads(self, message: Message, notice: Notice, alerts: Iterable[Alert]) -> list[Action]:
        """What Marit will do about a notice that reached her; each alert is seen to once."""
        if message.to != MARIT or notice.kind == "over":
            return []
        actions = [action for alert in alerts if (action := self._action(message, notice, alert))]
        self._seen_to |= {action.alert for action in actions}
        return actions

    def _action(self, message: Message, notice: Notice, alert: Alert) -> Action | None:
        if alert.id in self._seen_to:
            return None
        at_round = next((moment for moment in self._rounds if moment > message.at), None)
        match alert.rule:
            case "box-failures" if notice.kind == "alert":
                note = "The arm rests off to one side. The fitter comes at seven."
                at = message.at + LOOKED_AFTER_S
                return Action(at, "link", "arm out of line", note, alert.id, link=message.link)
            case "quarter-conductivity" if notice.kind == "alert" and at_round:
                note = "Vet asked; her milk is kept apart."
                return Action(at_round + 60, "answer", "clots or flakes", note, alert.id)
            case "filter-overdue" if at_round:
                place = alert.subject.partition(":")[2]
                return Action(at_round + 120, "done", "filter", "It was forgotten at the wash.", alert.id, place)
            case _:
                return None


def answer_by_link(link: str, finding: str, note: str) -> str:
    """Open a notice's link as a phone's browser does, tap a finding, and send the form; the page's own words.

    Raises OSError if the page does not take it.
    """
    with urllib.request.urlopen(link, timeout=10) as opened:
        opened.read()
    form = urllib.parse.urlencode({"finding": finding, "note": note}).encode()
    with urllib.request.urlopen(link, data=form, timeout=10) as answered:
        return str(answered.read().decode("utf-8"))
