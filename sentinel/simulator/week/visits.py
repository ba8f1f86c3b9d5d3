"""The cows' traffic: who comes when, which box takes her, how the visit ends, how much milk she gave.

Events are taken from a heap in time order; every other figure of a visit is made from these rows in bulk
(`sentinel.simulator.week.milk`).
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from dataclasses import dataclass, field
from math import gamma
from typing import NamedTuple

import numpy as np
from numpy.random import Generator

from sentinel.flow.model import HOUR_S
from sentinel.simulator.boxes.routine import Routine
from sentinel.simulator.local_time import LocalTime
from sentinel.simulator.week.faults import Faults
from sentinel.simulator.week.herd import SHORTEST_INTERVAL_H, Herd
from sentinel.simulator.week.parameters import Parameters

GATE_TURNS_H = (6.0, 14.0, 22.0)
"""The gates open to the next grazing block every 8 h; cows come through the boxes after it (assumption)."""


class Visit(NamedTuple):
    """One visit as it really was; `cow` and `box` are places in the herd and among the boxes."""

    start: int
    cow: int
    box: int
    outcome: str
    duration_s: int
    attach_s: float
    attempts: int
    milk_kg: float
    hours: float  # since her last full milking


@dataclass(slots=True)
class _Cow:
    """Where one cow is in her day."""

    milked: int
    plan: int
    kept_out: int = 0
    sure: bool = False
    gone: bool = False
    left_kg: float = 0.0


@dataclass(slots=True)
class Traffic:
    """The yard while the simulation runs: the heap of what comes next, the boxes' next free moments, the visits."""

    p: Parameters
    herd: Herd
    boxes: tuple[str, ...]
    local: LocalTime
    faults: Faults
    rng: Generator
    closings: list[list[tuple[int, int]]]
    free: list[int]
    cows: list[_Cow]
    heap: list[tuple[int, int, int]] = field(default_factory=list)
    visits: list[Visit] = field(default_factory=list)
    waiting: set[str] = field(default_factory=set)
    dried: dict[str, int] = field(default_factory=dict)

    # --- when she comes -------------------------------------------------------------------------------

    def plan(self, cow: int, at: int) -> None:
        """Let the cow come at `at`, in place of whatever she meant to do."""
        self.cows[cow].plan = at
        heapq.heappush(self.heap, (at, 1, cow))

    def wish(self, cow: int, now: int) -> int:
        """When a cow milked `now` wants to come again: a Weibull interval, moved to the herd's hours."""
        p, rng, mean = self.p, self.rng, float(self.herd.interval_mean_h[cow])
        if self.herd.allowed[cow] == 1:
            return now + int(HOUR_S * min(mean + 1.2 * rng.standard_normal(), 24.0))
        hours = mean / gamma(1 + 1 / p.interval_shape) * rng.weibull(p.interval_shape)
        if hours > p.restless_from_h:
            hours = p.restless_from_h + p.restless_share * (hours - p.restless_from_h)
        at = now + int(HOUR_S * max(hours, 2.0))
        while at < now + HOUR_S * p.restless_from_h and rng.random() > liking(self.local.hour(at)):
            at += int(HOUR_S * (0.2 + 0.6 * rng.random()))
        return at

    def fetch(self, at: int) -> None:
        """A round: the cows over the fetching limit are brought in, except those planted to stay out."""
        p = self.p
        for place, cow in enumerate(self.cows):
            late = at - cow.milked > HOUR_S * p.fetch_over_h
            if cow.gone or not late or self.herd.allowed[place] <= 1 or cow.kept_out > at:
                continue
            brought = at + int(60 * self.rng.uniform(p.fetch_first_min, p.fetch_last_min))
            if cow.plan > brought and self.rng.random() < p.fetched_share:
                self.plan(place, brought)

    # --- at the boxes ---------------------------------------------------------------------------------

    def open_from(self, box: int, at: int) -> int:
        """The first moment from `at` at which a cow may enter and be out again before the box is closed."""
        closings = self.closings[box]
        while True:
            after = bisect_right(closings, (at + int(self.p.longest_stay_s), 0))
            if after == 0 or closings[after - 1][1] <= at:
                return at
            at = closings[after - 1][1]

    def choose(self, cow: int, at: int) -> tuple[int, int]:
        """Which box takes her and when: one of the free ones as she likes them, else the first to be free."""
        like = self.herd.box_liking[cow]
        ready = [self.open_from(b, max(at, self.free[b])) if like[b] > 0 else 1 << 60 for b in range(len(self.boxes))]
        now = [b for b, t in enumerate(ready) if t <= at]
        if now:
            weights = np.cumsum([like[b] for b in now])
            return now[int(np.searchsorted(weights, self.rng.random() * weights[-1]))], at
        box = int(np.argmin(ready))
        return box, ready[box]

    def visit(self, cow: int, at: int) -> None:
        """One cow arrives at the boxes at `at`; writes her visit and plans the next."""
        p, rng, state = self.p, self.rng, self.cows[cow]
        number = self.herd.numbers[cow]
        box, start = self.choose(cow, at)
        hours = (start - state.milked) / HOUR_S
        if hours < SHORTEST_INTERVAL_H[int(self.herd.allowed[cow])] and not state.sure:
            stay = int(p.sent_on_s + 40 * rng.random())
            self.visits.append(Visit(start, cow, box, "refused", stay, np.nan, 0, 0.0, hours))
            self.free[box] = start + stay + 10
            self.plan(cow, start + int(HOUR_S * (1.0 + 2.5 * rng.random())))
            return
        arm = self.faults.arm_of(self.boxes[box], start)
        outcome = self.outcome(cow, start, arm is not None)
        attach = float(self.herd.attach_median_s[cow] * np.exp(p.attach_spread * rng.standard_normal()))
        attach *= p.arm_attach_factor if arm else 1.0
        attempts = 1 + int(rng.poisson(0.9 if arm else 0.15))
        full = float(self.herd.kg_h[cow]) * min(hours, 20.0) * float(np.exp(p.yield_noise * rng.standard_normal()))
        full = max(full - state.left_kg, 0.5)
        if outcome == "failed":
            milk, attach, attempts = 0.0, float("nan"), 3 + int(rng.poisson(1.5))
            seconds = p.failed_stay_s + 40 * rng.standard_normal()
        else:
            milk = full * (rng.uniform(0.35, 0.75) if outcome == "incomplete" else 1.0)
            seconds = attach + 60 * milk / float(self.herd.flow_kg_min[cow]) + p.leave_s + 15 * rng.random()
        stay = int(min(max(seconds, 90.0), p.longest_stay_s))
        self.visits.append(Visit(start, cow, box, outcome, stay, attach, attempts, milk, hours))
        self.free[box] = start + stay + int(rng.integers(15, 45))
        self.after(cow, number, start, stay, outcome, milk)

    def outcome(self, cow: int, at: int, arm: bool) -> str:
        """How the visit ends: the cow's own chance of being missed, and what is planted at the moment."""
        p, planted = self.p, self.faults.failing(self.herd.numbers[cow], at)
        draw, second = self.rng.random(), self.rng.random()
        if self.cows[cow].sure:
            return "milked"
        share = float(self.herd.failed_share[cow]) if planted is None else planted
        if arm:
            share = 1 - (1 - share) * (1 - p.arm_failed_share)
        if draw < share:
            return "failed"
        return "incomplete" if second < p.incomplete_share + (p.arm_incomplete_share if arm else 0.0) else "milked"

    def after(self, cow: int, number: str, start: int, stay: int, outcome: str, milk: float) -> None:
        """What the cow does next, and what is planted to begin with this milking."""
        p, rng, state = self.p, self.rng, self.cows[cow]
        if outcome != "milked":
            state.left_kg += milk
            mean = p.retry_mean_h if outcome == "failed" else p.again_after_incomplete_h
            mean *= p.retry_sooner if start - state.milked > HOUR_S * p.retry_sooner_from_h else 1.0
            self.plan(cow, start + stay + int(HOUR_S * mean * (0.5 + rng.random())))
            return
        state.milked, state.left_kg, was_sure = start, 0.0, state.sure
        state.sure = False
        drying = next((d for d in self.faults.dries if d.cow == number and start >= d.called), None)
        if drying:
            state.gone, self.dried[number] = True, start + stay
            return
        for out in self.faults.out:
            if out.cow == number and number in self.waiting and start >= out.after and not was_sure:
                self.waiting.discard(number)
                state.kept_out, state.sure = start + int(HOUR_S * out.hours), True
                self.plan(cow, state.kept_out)
                return
        self.plan(cow, self.wish(cow, start))


def liking(hour: float) -> float:
    """How readily cows come at an hour of the day: most after the gates turn, least in the small hours.

    >>> [liking(h) for h in (3.0, 7.0, 12.0)]
    [0.5, 1.0, 0.75]
    """
    if any(turn <= hour < turn + 2.5 for turn in GATE_TURNS_H):
        return 1.0
    return 0.5 if 1.0 <= hour < 5.0 else 0.75


def run_traffic(
    p: Parameters,
    herd: Herd,
    boxes: tuple[str, ...],
    local: LocalTime,
    routine: Routine,
    rounds: tuple[str, ...],
    faults: Faults,
    first: int,
    until: int,
    rng: Generator,
) -> tuple[list[Visit], dict[str, int]]:
    """All visits from `first` until `until` in order of start, and when each planted cow was dried off."""
    closings: list[list[tuple[int, int]]] = [[] for _ in boxes]
    for closed in routine.closed:
        closings[boxes.index(closed.box)].append((closed.plan, closed.plan + closed.seconds))
    cows = [_Cow(first - int(HOUR_S * 9 * rng.random()), 0, gone=not bool(m)) for m in herd.milking]
    yard = Traffic(p, herd, boxes, local, faults, rng, closings, [first] * len(boxes), cows)
    yard.waiting = {out.cow for out in faults.out}
    for cow, state in enumerate(cows):
        if not state.gone:
            yard.plan(cow, max(first, yard.wish(cow, state.milked)) + int(600 * rng.random()))
    for day in local.days(first, until):
        for clock in rounds:
            heapq.heappush(yard.heap, (local.at(f"{day} {clock}"), 0, -1))
    for drying in faults.dries:
        heapq.heappush(yard.heap, (drying.called, 0, herd.place(drying.cow)))
    while yard.heap and yard.heap[0][0] < until:
        at, kind, cow = heapq.heappop(yard.heap)
        if kind == 1:
            if cows[cow].plan == at and not cows[cow].gone:
                yard.visit(cow, at)
        elif cow < 0:
            yard.fetch(at)
        else:
            cows[cow].sure = True
            yard.plan(cow, at)
    return sorted(v for v in yard.visits if v.start < until), yard.dried
