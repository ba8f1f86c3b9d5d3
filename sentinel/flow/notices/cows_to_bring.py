"""What a notice of several cows says of each: how much milk waits in her, and where and how she was last seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.language import Words, told
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import Alert, kind_of, name_of
from sentinel.flow.notices.together import About
from sentinel.flow.schedule.milk_waiting import milk_waiting
from sentinel.flow.tables import Tables

SAID_OF_VISIT = {"failed": "failed", "refused": "not admitted", "incomplete": "incomplete", "milked": "milked"}
"""How a visit ended, in a word; nothing of one whose end could not be read."""


def about_cows(alerts: Sequence[Alert], tables: Tables, words: Words, at: int) -> dict[int, About]:
    """Of alerts on cows: most milk waiting first; how much that is, and where and how each was last seen at a box."""
    cows = {name_of(alert.subject): alert.id for alert in alerts if kind_of(alert.subject) == "cow"}
    milk = milk_waiting(tables, cows, at)
    seen = _last_seen(tables, cows, words, at)
    found = {}
    for cow, number in cows.items():
        waits = milk[cow].kg
        kg = "" if waits is None else told(words, "about {kg} kg waiting", kg=words.number(waits, 0))
        found[number] = About(milk[cow].order, "; ".join(filter(None, [kg, seen.get(cow, "")])))
    return found


def _last_seen(tables: Tables, cows: Iterable[str], words: Words, at: int) -> dict[str, str]:
    """Where each cow was last at a box, when, and how that ended; nothing of one that was not seen."""
    visits = tables.of_cows(frozenset(cows)).visits
    until = known_of("visits", tables.farm.feeds, at)
    visits = visits[visits["start"] <= (at if until is None else min(at, until))]
    how = np.asarray(outcomes(visits), dtype=object)
    said = {}
    for cow, box, start, ended in zip(visits["cow"], visits["box"], visits["start"], how, strict=True):
        place = {"box": box, "when": words.time(int(start), at)}
        seen = told(words, "last at box {box} at {when}", **place) if box else ""
        ending = words.say(SAID_OF_VISIT[ended]) if ended in SAID_OF_VISIT else ""
        said[str(cow)] = f"{seen}, {ending}" if seen and ending else seen
    return said
