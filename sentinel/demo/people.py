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
"""From the notice about the box until Marit has been there and answers: too late for Joren not to be told as well."""

READ_AFTER_S = 3 * 60
"""From a notice at night until she has read it, and says that she will look."""

SENT_AGAIN_AFTER_S = 12 * 60
"""From the notice about a quiet feed until she has seen at the computer that its export has stopped."""

BROUGHT_AFTER_S = 15 * 60
"""From the notice about a late cow until she has brought her up."""


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
    """Marit: answers through the link or from the farm's computer, and records a filter."""

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
        fresh = [alert for alert in alerts if alert.id not in self._seen_to]
        actions = [action for alert in fresh for action in self._actions(message, notice, alert)]
        self._seen_to |= {action.alert for action in actions}
        return actions

    def _actions(self, message: Message, notice: Notice, alert: Alert) -> list[Action]:
        at_round = next((moment for moment in self._rounds if moment > message.at), None)
        told_of = notice.kind == "alert"

        def by_link(after_s: int, finding: str, note: str) -> Action:
            return Action(message.at + after_s, "link", finding, note, alert.id, link=message.link)

        match alert.rule:
            case "box-failures" if told_of:
                note = "The arm rests off to one side. The fitter comes at seven."
                return [by_link(LOOKED_AFTER_S, "arm out of line", note)]
            case "quarter-conductivity" if told_of and at_round:
                note = "Vet asked; her milk is kept apart."
                found = Action(at_round + 60, "answer", "clots or flakes", note, alert.id)
                return [by_link(READ_AFTER_S, "", "I look at her first thing in the morning."), found]
            case "feed-quiet" if told_of:
                return [by_link(SENT_AGAIN_AFTER_S, "export stopped", "Started again on the farm's computer.")]
            case "late-cow" if told_of:
                return [by_link(BROUGHT_AFTER_S, "brought up", "She stood behind the gate of the old block.")]
            case "filter-overdue" if at_round:
                place = alert.subject.partition(":")[2]
                return [Action(at_round + 120, "done", "filter", "It was forgotten at the wash.", alert.id, place)]
            case _:
                return []


def answer_by_link(link: str, finding: str, note: str) -> str:
    """Open a notice's link as a phone's browser does, tap a finding, and send the form; the page's own words.

    Raises OSError if the page does not take it.
    """
    with urllib.request.urlopen(link, timeout=10) as opened:
        opened.read()
    form = urllib.parse.urlencode({"finding": finding, "note": note}).encode()
    with urllib.request.urlopen(link, data=form, timeout=10) as answered:
        return str(answered.read().decode("utf-8"))
