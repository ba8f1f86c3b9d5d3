"""What a notice of several cows says of each: how much milk waits, where and how she was last seen, how far she is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.language import Words, told
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, Alert, kind_of, name_of
from sentinel.flow.notices.together import About
from sentinel.flow.schedule.milk_waiting import milk_waiting
from sentinel.flow.tables import COWS, Tables

SAID_OF_VISIT = {"failed": "failed", "refused": "not admitted", "incomplete": "incomplete", "milked": "milked"}
"""How a visit ended, in a word; nothing of one whose end could not be read."""


LATE_D = 300
"""So many days in milk are near dry-off: a lactation is planned at some 305 (common practice, no source)."""


def about_cows(alerts: Sequence[Alert], tables: Tables, words: Words, at: int) -> dict[int, About]:
    """Of alerts on cows: most milk waiting first; how much that is, where and how each was last seen at a box, and
    whether she is allowed one milking a day or near dry-off."""
    cows = {name_of(alert.subject): alert.id for alert in alerts if kind_of(alert.subject) == "cow"}
    milk = milk_waiting(tables, cows, at)
    seen, far = _last_seen(tables, cows, words, at), _how_far(tables, cows, words, at)
    found = {}
    for cow, number in cows.items():
        waits = milk[cow].kg
        kg = "" if waits is None else told(words, "about {kg} kg waiting", kg=words.number(waits, 0))
        found[number] = About(milk[cow].order, "; ".join(filter(None, [kg, seen.get(cow, ""), far.get(cow, "")])))
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


def _how_far(tables: Tables, cows: Iterable[str], words: Words, at: int) -> dict[str, str]:
    """Why a cow comes seldom: she is allowed one milking a day, or has long been in milk."""
    rows = tables.of_cows(frozenset(cows)).cows
    rows = rows[rows[COWS.happened] <= at]
    said = {}
    for cow, allowed, calved in zip(rows["cow"], rows["milkings_allowed"], rows["calved_on"], strict=True):
        days = None if pd.isna(calved) else int((at - calved) // DAY_S)
        once = words.say("one milking a day") if allowed == 1 else ""
        long = told(words, "{n} days in milk", n=days) if days is not None and days >= LATE_D else ""
        said[str(cow)] = "; ".join(filter(None, [once, long]))
    return said
