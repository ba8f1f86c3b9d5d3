"""How often files come, by their stamps, against what their map says of it.

Stamps in the files' names go first: files that were copied all have the moment of the copying.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from itertools import pairwise

from sentinel.flow.feeds.drafting.sample.names import SPAN_S, pace_of
from sentinel.flow.feeds.durations import MOST_S, seconds_of
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.feeds.trial.patterns import Matched
from sentinel.flow.feeds.trial.tried import MapFile
from sentinel.flow.model import DAY_S, HOUR_S, Problem

FEWEST = 6
"""Of fewer files nothing is said."""

LATER, OFTENER = 1.2, 2.5
"""Files may come by so much more seldom, and so many times as often, as a map says, before it is asked about: a month
has 31 days, and one kind of file may come from two boxes (our choice)."""

REGULAR, NEAR = 0.6, 0.25
"""So many of the steps must be so near the middle one, or there is no pace (our choice)."""


def paces(maps: Sequence[MapFile], found: Matched) -> Iterator[Problem]:
    """Maps of whose files the newest come at another pace than the map says."""
    for place, one in enumerate(maps):
        if one.feed is None or not one.feed.says_pace or len(found.recent.get(place, ())) < FEWEST:
            continue
        key = "every" if one.feed.every is not None else "pace"
        said_s = _said_s(one.feed)
        step_s, what = _step(found.recent[place], said_s)
        if not step_s or said_s / OFTENER < step_s <= LATER * said_s:
            continue
        word = next((word for word, span in SPAN_S.items() if abs(step_s - span) <= 0.1 * span), "")
        todo = f"pace: {word}" if word and key == "pace" else f"every: {_written(step_s)}"
        sentence = f"{key}: its newest {len(found.recent[place])} files come every {_written(step_s)} by {what}"
        if step_s < said_s:
            sentence += f", oftener than it says: {todo}? Else a stop would be told late"
        else:
            sentence += f", not as often as it says: {todo}? Else the feed counts as quiet although they come in time"
        yield Problem(one.place(key), sentence)


def _said_s(feed: FeedMap) -> int:
    return feed.every if feed.every is not None else SPAN_S[feed.pace]


def _step(recent: Sequence[tuple[int, str]], said_s: int) -> tuple[int, str]:
    """How many s lie between files, usually, and by what that is told; 0 if they have no pace."""
    by_name = pace_of([name for _, name in recent])
    if by_name:
        return SPAN_S.get(by_name) or seconds_of(by_name), "the stamps in their names"
    moments: list[int] = []
    for written_ns, _ in sorted(recent):
        moment = written_ns // 1_000_000_000
        if not moments or moment - moments[-1] > said_s / 10:  # several at a time, as one of each box, are one
            moments.append(moment)
    steps = [b - a for a, b in pairwise(moments)]
    if len(moments) < FEWEST:
        return 0, ""
    step = statistics.median(steps)
    if sum(abs(one - step) <= NEAR * step for one in steps) < REGULAR * len(steps) or step > MOST_S:
        return 0, ""
    return round(step), "when they were written"


def _written(step_s: float) -> str:
    """A length of time as a map writes it.

    >>> _written(7190), _written(29 * 60), _written(86000), _written(14 * 86400)
    ('2 h', '30 min', '24 h', '14 d')
    """
    if step_s >= 2 * DAY_S:
        return f"{round(step_s / DAY_S)} d"
    if step_s >= 0.9 * HOUR_S:
        return f"{round(4 * step_s / HOUR_S) / 4:g} h"
    return f"{max(1, round(step_s / 300) * 5)} min"
