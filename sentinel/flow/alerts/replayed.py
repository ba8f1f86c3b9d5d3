"""The incidents of a whole history: the same as live, worked out in one pass over what was raised and what ended."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import groupby

from sentinel.flow.alerts.incidents import alike, place_of_trouble
from sentinel.flow.alerts.links import Links, covers
from sentinel.flow.model import Subject, kind_of
from sentinel.flow.ordering import natural_key

NEVER = 1 << 60
"""After every moment."""


@dataclass(frozen=True, slots=True)
class Life:
    """One alert of a history: what it is about, when it stood, and the likeliest suspect that it was raised with."""

    rule: str
    subject: Subject
    raised_at: int
    over_at: int | None
    suspect: str = ""


@dataclass(slots=True)
class _Standing:
    """One that stands, with what covers it and the place in the history of whatever founded its incident."""

    number: int
    life: Life
    place: Subject
    incident: int
    causes: set[int] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Troubles:
    """Which alerts of a history are one trouble, and what held some of them back; both by their place in the history.

    `founders`: the place of the one that founded the incident that each last belonged to. `held_back`: of those that
    were, each stretch [from, to) in which another alert covered it.
    """

    founders: list[int]
    held_back: Mapping[int, Sequence[tuple[int, int]]]


def troubles_of_history(
    lives: Sequence[Life], covered_by: Mapping[str, Sequence[str]], links_at: Callable[[int], Links]
) -> Troubles:
    """The incidents of a history, and what was held back.

    `lives`: as they were raised. `covered_by`: per rule those whose alerts cover its own. `links_at`: what covering
    needs to know of the farm at a moment; asked only where a rule may cover another.
    """
    sweep = _Sweep(lives, covered_by, links_at)
    return Troubles(sweep.run(), sweep.held_back)


class _Sweep:
    def __init__(
        self, lives: Sequence[Life], covered_by: Mapping[str, Sequence[str]], links_at: Callable[[int], Links]
    ) -> None:
        self.lives, self.covered_by, self.links_at = lives, covered_by, links_at
        self.rules_under: dict[str, set[str]] = defaultdict(set)
        for rule, causes in covered_by.items():
            for cause in causes:
                self.rules_under[cause].add(rule)
        self.standing: dict[int, _Standing] = {}
        self.by_rule: dict[str, set[int]] = defaultdict(set)
        self.by_place: dict[Subject, set[int]] = defaultdict(set)
        self.covered: set[int] = set()
        self.covered_from: dict[int, int] = {}
        self.held_back: dict[int, list[tuple[int, int]]] = defaultdict(list)
        self.founders = list(range(len(lives)))

    def run(self) -> list[int]:
        ends: list[tuple[int, int]] = []
        for at, group in groupby(range(len(self.lives)), key=lambda number: self.lives[number].raised_at):
            while ends and ends[0][0] < at:
                moment = ends[0][0]
                self._tick(moment, [], _popped(ends, moment))
            new = list(group)
            ended = _popped(ends, at)
            for number in new:
                over_at = self.lives[number].over_at
                if over_at is not None:
                    heappush(ends, (over_at, number))
            self._tick(at, new, ended)
        while ends:
            moment = ends[0][0]
            self._tick(moment, [], _popped(ends, moment))
        for number in list(self.covered_from):
            self._let_through(number, NEVER)
        return self.founders

    def _tick(self, at: int, raised: Iterable[int], ended: Iterable[int]) -> None:
        """What ends and what is raised at one moment, and what that does to the incidents of the others."""
        changed = False
        for number in ended:
            changed |= self._end(at, number)
        new = [self._raise(number) for number in raised]
        for one in new:
            changed |= self._cover(at, one)
        for one in new:
            one.incident = one.incident if one.incident >= 0 else self._home(one)
            changed |= bool(one.causes)
        if changed:
            for number in self.covered:
                self.standing[number].incident = self.standing[self._root(number)].incident
        for number in (*self.covered, *(one.number for one in new)):
            self.founders[number] = self.standing[number].incident

    def _raise(self, number: int) -> _Standing:
        life = self.lives[number]
        one = self.standing[number] = _Standing(number, life, place_of_trouble(life.subject), -1)
        self.by_rule[life.rule].add(number)
        self.by_place[one.place].add(number)
        return one

    def _let_through(self, number: int, at: int) -> None:
        """One is no longer held back, or has ended."""
        if number in self.covered_from:
            self.held_back[number].append((self.covered_from.pop(number), at))

    def _end(self, at: int, number: int) -> bool:
        one = self.standing.pop(number)
        self.by_rule[one.life.rule].discard(number)
        self.by_place[one.place].discard(number)
        self.covered.discard(number)
        self._let_through(number, at)
        changed = False
        for rule in {*self.rules_under.get(one.life.rule, ()), one.life.rule}:
            for other in self.by_rule[rule]:
                if number in self.standing[other].causes:
                    self.standing[other].causes.discard(number)
                    changed = True
                    if not self.standing[other].causes:
                        self.covered.discard(other)
                        self._let_through(other, at)
        return changed

    def _cover(self, at: int, one: _Standing) -> bool:
        """Note what covers an alert that came, and what it covers; whether anything does."""
        own = {one.life.rule} if kind_of(one.life.subject) == "feed" else set()  # one that stands for others
        causes = [n for rule in {*self.covered_by.get(one.life.rule, ()), *own} for n in self.by_rule[rule]]
        under = [n for rule in {*self.rules_under.get(one.life.rule, ()), *own} for n in self.by_rule[rule]]
        if not causes and not under:
            return False
        links = self.links_at(at)
        changed = False
        for cause, other in (*((n, one.number) for n in causes), *((one.number, n) for n in under)):
            covered = self.standing[other].life
            names = self.covered_by.get(covered.rule, ())
            if cause != other and covers(self.standing[cause].life, covered, names, links):
                self.standing[other].causes.add(cause)
                self.covered.add(other)
                self.covered_from.setdefault(other, at)
                changed = True
        return changed

    def _home(self, one: _Standing) -> int:
        """The incident at its own place that it joins, or founds."""
        mates = (self.standing[n] for n in self.by_place[one.place] if n != one.number and n not in self.covered)
        found = [
            mate.incident
            for mate in mates
            if mate.incident >= 0
            and place_of_trouble(self.lives[mate.incident].subject) == one.place
            and alike(
                one.life.raised_at,
                one.place,
                one.life.suspect,
                mate.life.raised_at,
                mate.place,
                mate.life.suspect,
            )
        ]
        return min(found, default=one.number)

    def _root(self, number: int) -> int:
        """What covers one and is not covered itself."""
        seen = {number}
        while True:
            left = [n for n in self.standing[number].causes if n not in seen]
            if not left:
                return number
            number = min(left, key=lambda n: natural_key(f"{self.lives[n].rule} {self.lives[n].subject}"))
            seen.add(number)


def _popped(ends: list[tuple[int, int]], at: int) -> list[int]:
    """Those that end at a moment."""
    found = []
    while ends and ends[0][0] == at:
        found.append(heappop(ends)[1])
    return found
