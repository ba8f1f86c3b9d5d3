"""Which map is for which file: maps that no file fits, files that no map is for or that two are for."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heappush, heappushpop

from sentinel.flow.bounds import legible
from sentinel.flow.feeds.feed_map import matches
from sentinel.flow.feeds.sharing import readers
from sentinel.flow.feeds.trial.tried import NEWEST, OLDER, MapFile
from sentinel.flow.model import Problem, Source
from sentinel.flow.yaml.text import did_you_mean

_MOST_KINDS = 20
"""So many kinds of file names that no map is for are told."""


RECENT = 60
"""By the stamps of so many of a feed's newest files it is told how often they come."""


@dataclass(slots=True)
class _Spread:
    """Names spread evenly over all that were met: every one at first, then every second, fourth ..."""

    names: list[str] = field(default_factory=list)
    met: int = 0
    step: int = 1

    def add(self, name: str) -> bool:
        """Meet a name; whether it is kept so far."""
        kept = self.met % self.step == 0
        self.met += 1
        if kept:
            self.names.append(name)
            if len(self.names) > 2 * OLDER:
                del self.names[1::2]
                self.step *= 2
        return kept and name in self.names

    def some(self) -> list[str]:
        """At most OLDER of them."""
        return self.names[:: -(-len(self.names) // OLDER)] if self.names else []


@dataclass(slots=True)
class Matched:
    """The files of an inbox by what reads them: of each the newest names, newest first, and how many there are.

    `newest`: by the map's place among the maps; `older`: some of the others in the order in which they were met;
    `strangers`: of files that no map is for, by how they are named.
    `twice`: files that two maps are for, by the two maps' places; the first one reads them, as they do not divide its
    rows. `recent`: the stamps and names of the newest files by map, in no order. `files`: how many there are.
    """

    newest: dict[int, list[tuple[int, str]]] = field(default_factory=dict)
    older: dict[int, _Spread] = field(default_factory=dict)
    number: Counter[int] = field(default_factory=Counter)
    strangers: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    strangers_number: Counter[str] = field(default_factory=Counter)
    twice: dict[tuple[int, int], str] = field(default_factory=dict)
    recent: dict[int, list[tuple[int, str]]] = field(default_factory=dict)
    files: int = 0

    def add(self, maps: Sequence[MapFile], name: str, modified_ns: int) -> bool:
        """Sort in one file; whether it is one of those that are kept so far."""
        self.files += 1
        fitting = [place for place, one in enumerate(maps) if one.feed is not None and matches(one.feed, name)]
        if fitting:
            reading = readers([feed for one in maps if (feed := one.feed) is not None], name)
            taking = [place for place in fitting if any(maps[place].feed is feed for feed in reading)]
            for other in fitting:
                if other not in taking:
                    self.twice.setdefault((taking[0], other), name)
            return any([self._add_to(place, name, modified_ns) for place in taking])
        kind = re.sub(r"[0-9]+", "#", name)
        if kind not in self.strangers and len(self.strangers) >= _MOST_KINDS:
            kind = ""
        self.strangers_number[kind] += 1
        return _keep(self.strangers.setdefault(kind, []), modified_ns, name)

    def _add_to(self, place: int, name: str, modified_ns: int) -> bool:
        """Count a file for a map that reads it; whether it is kept so far."""
        self.number[place] += 1
        recent = self.recent.setdefault(place, [])
        (heappush if len(recent) < RECENT else heappushpop)(recent, (modified_ns, name))
        spread = self.older.setdefault(place, _Spread()).add(name)
        return _keep(self.newest.setdefault(place, []), modified_ns, name) or spread


def _keep(newest: list[tuple[int, str]], modified_ns: int, name: str) -> bool:
    """Keep a file if it is one of the newest; whether it is."""
    newest.append((modified_ns, name))
    newest.sort(reverse=True)
    del newest[NEWEST:]
    return (modified_ns, name) in newest


def unmatched(maps: Sequence[MapFile], found: Matched) -> Iterator[Problem]:
    """Maps that no file fits, and maps of which another one takes the files."""
    others = [newest[0][1] for newest in found.strangers.values()]
    for place, one in enumerate(maps):
        if one.feed is None:
            continue
        at = one.place("files")
        if found.number[place]:
            continue
        patterns = ", ".join(f'"{pattern}"' for pattern in one.feed.files[:3])
        taken = next(((first, name) for (first, other), name in found.twice.items() if other == place), None)
        if taken:
            sentence = f"{legible(taken[1])} is read by {maps[taken[0]].name}, whose pattern fits it too"
            yield Problem(at, f"{sentence}: make one of the two patterns narrower")
        elif found.files:
            near = did_you_mean(one.feed.files[0], others) if others else ""
            yield Problem(at, f"no file in the inbox fits {patterns}{near}: is the pattern right?")


def strangers(found: Matched, known: Mapping[str, bool]) -> Iterator[Problem]:
    """Files that nothing reads, one of a kind; `known`: of a kind whether it needs no map."""
    for kind, newest in found.strangers.items():
        if known.get(kind):
            continue
        more = found.strangers_number[kind] - 1
        like = "" if kind == "" else " named like it"
        nor = f", nor for {more} more{like}" if more else ""
        sentence = f"no feed map is for this file{nor}: `sentinel map` drafts one, if it is an export"
        yield Problem(Source(legible(newest[0][1])), sentence)


def read_twice(maps: Sequence[MapFile], found: Matched) -> Iterator[Problem]:
    """Maps that are for a file that an earlier map reads, though they read others as well."""
    for (first, other), name in found.twice.items():
        if found.number[other]:
            sentence = (
                f"{legible(name)} fits this map and {maps[first].name}, which reads it: make one pattern narrower"
            )
            yield Problem(maps[other].place("files"), sentence)
