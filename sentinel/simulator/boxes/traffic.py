"""The cows' traffic: who comes when, which box takes her, how the visit ends.

The one part that goes visit by visit, because a box that is taken sends the next cow elsewhere and a cow that was
missed comes again. It draws from long lists of chance numbers made beforehand and writes columns, so that a year of
300 cows takes seconds; everything a box measures is made from these columns in bulk.
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from math import gamma

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.simulator.boxes.upkeep import Upkeep
from sentinel.simulator.figures import HerdFigures, UdderFigures
from sentinel.simulator.herd.cows import ONCE_A_DAY_H, SHORTEST_INTERVAL_H, interval_factor
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.happenings import BoxFault, Plan
from sentinel.simulator.spec import Calendar, Dice, Numbers, Whole

MILKED, INCOMPLETE, FAILED, REFUSED = 0, 1, 2, 3
OUTCOMES = ("milked", "incomplete", "failed", "refused")
ROUNDS = ("06:30", "16:30")
FETCH_MIN = (10.0, 75.0)
LEAST_H = 2.0
FAR = 1 << 60
ROUND, CALLED = -1, -2
"""What stands in the heap in place of a cow's: a round, and from -2 down the cows that are called to be dried off."""
GATE_TURNS_H = (6.0, 14.0, 22.0)
"""The gates open to the next grazing block every 8 h; cows come through the boxes after it (assumption)."""


def liking(hour: float) -> float:
    """How readily cows come at an hour of the day: most after the gates turn, least in the small hours.

    >>> [liking(h) for h in (3.0, 7.0, 12.0)]
    [0.5, 1.0, 0.75]
    """
    if any(turn <= hour < turn + 2.5 for turn in GATE_TURNS_H):
        return 1.0
    return 0.5 if 1.0 <= hour < 5.0 else 0.75


@dataclass(frozen=True, slots=True)
class Visits:
    """All visits in order of start, as columns; `hours` are those since her last whole milking."""

    start: Whole
    place: Whole
    lactation: Whole
    box: Whole
    outcome: Whole
    duration_s: Whole
    attach_s: Numbers
    attempts: Whole
    milk_kg: Numbers
    hours: Numbers

    def only(self, chosen: NDArray[np.bool_] | Whole) -> Visits:
        """Some of the visits."""
        return Visits(*(getattr(self, name)[chosen] for name in self.__slots__))


class Chance:
    """Chance numbers of one kind, made a hundred thousand at a time by `draw`."""

    def __init__(self, draw: Callable[[int], Numbers]) -> None:
        self.draw = draw
        self.left: list[float] = []

    def __call__(self) -> float:
        """The next one."""
        if not self.left:
            self.left = self.draw(100_000).tolist()
        return self.left.pop()


class Yard:
    """The yard while it is worked out: what comes next, where each cow stands in her day, when each box is free."""

    def __init__(
        self,
        herd: HerdFigures,
        udder: UdderFigures,
        calendar: Calendar,
        lives: Lives,
        plan: Plan,
        upkeep: Upkeep,
        dice: Dice,
    ) -> None:
        self.herd, self.calendar, self.lives = herd, calendar, lives
        rng = dice.of("yard")
        self.uniform, self.normal = Chance(rng.random), Chance(rng.standard_normal)
        self.weibull = Chance(lambda n: rng.weibull(herd.interval_shape, n))
        places = len(lives.lactations.of_place)
        self.lactation = [list(spells) for spells in lives.lactations.of_place]
        self.now = [0] * places
        self.milked, self.planned, self.left_kg = [0] * places, [-1] * places, [0.0] * places
        self.wished = [0] * places
        self.box_count = lives.cows.liking.shape[1]
        self.liking = lives.cows.liking.tolist()
        self.goes_to = [[box for box, like in enumerate(likings) if like > 0] for likings in self.liking]
        self.free = [calendar.first] * self.box_count
        self.closed = [[*spans, (FAR, FAR)] for spans in upkeep.closed]
        self.closing = [[at for at, _ in spans] for spans in upkeep.closed]
        self.opening = [[until for _, until in spans] for spans in upkeep.closed]
        self.next_closed, self.next_open = [0] * self.box_count, [0] * self.box_count
        self.kg_h = lives.kg_h.tolist()
        self.failed, self.attach = lives.cows.failed.tolist(), lives.cows.attach_s.tolist()
        self.flow, self.interval = lives.cows.flow_kg_min.tolist(), lives.cows.interval.tolist()
        self.cow_of, self.calved = lives.lactations.cow.tolist(), lives.lactations.calved.tolist()
        self.dry = lives.lactations.dry.tolist()
        self.faults: list[list[BoxFault]] = [[] for _ in range(self.box_count)]
        for fault in sorted(plan.faults, key=lambda one: one.start):
            self.faults[fault.box].append(fault)
        self.kicks = {one.place: [x for x in plan.kicks if x.place == one.place] for one in plan.kicks}
        self.fails = {f.place: [x for x in plan.fails if x.place == f.place] for f in plan.fails}
        self.severe = {
            u.place: [x for x in plan.udder if x.place == u.place and x.severe] for u in plan.udder if u.severe
        }
        self.slower = udder.severe_interval
        self.once = lives.cows.once_a_day
        self.out = {o.place: [x for x in plan.out if x.place == o.place] for o in plan.out}
        self.dried = plan.dried
        self.back = [0] * places  # until when a cow that stays out is not brought in
        self.sure: set[int] = set()  # places whose next visit is a whole milking
        self.disturbed = list(plan.disturbed)
        self.scale = herd.interval_h / gamma(1 + 1 / herd.interval_shape)
        self.offsets = calendar.offsets.tolist()
        self.keen = [liking(quarter / 4) for quarter in range(96)]
        self.heap: list[tuple[int, int]] = []
        self.rows: list[tuple[int, int, int, int, int, int, float, int, float, float]] = []

    def run(self) -> Visits:
        """All visits from the first moment of the calendar to the last."""
        calendar, heap = self.calendar, self.heap
        for place in range(len(self.lactation)):
            self.enter(place, calendar.first)
        rounds = [
            calendar.local.at(f"{d} {clock}")
            for d in calendar.local.days(calendar.first, calendar.until)
            for clock in ROUNDS
        ]
        heap += [(at, ROUND) for at in rounds]
        heap += [(drying.called, CALLED - n) for n, drying in enumerate(self.dried)]
        heapq.heapify(heap)
        until = calendar.until
        while heap:
            at, place = heapq.heappop(heap)
            if at >= until:
                break
            if place == ROUND:
                self.fetch(at)
            elif place <= CALLED:
                self.call(self.dried[CALLED - place].place, at)
            elif self.planned[place] == at:
                self.arrive(place, at)
        columns = [np.array(column) for column in zip(*sorted(r for r in self.rows if r[0] < until), strict=True)]
        return Visits(*columns)

    def enter(self, place: int, now: int) -> None:
        """The cow of the place's next lactation comes some hours after calving, or now if she is in milk already."""
        while self.now[place] < len(self.lactation[place]):
            lactation = self.lactation[place][self.now[place]]
            if now < self.dry[lactation]:
                first = max(self.calved[lactation] + int(HOUR_S * (4 + 8 * self.uniform())), now)
                self.milked[place] = first - int(HOUR_S * (4 + 5 * self.uniform()))
                self.left_kg[place] = 0.0
                self.plan(place, first + int(HOUR_S * 6 * self.uniform()) if first == now else first)
                return
            self.now[place] += 1

    def plan(self, place: int, at: int) -> None:
        """She comes at `at`, in place of whatever she meant to do."""
        self.planned[place] = at
        heapq.heappush(self.heap, (at, place))

    def fetch(self, at: int) -> None:
        """A round: cows over the limit are brought in, most of them."""
        limit = at - int(HOUR_S * self.herd.fetch_over_h)
        for place, milked in enumerate(self.milked):
            if milked < limit and self.back[place] <= at and self.now[place] < len(self.lactation[place]):
                lactation = self.lactation[place][self.now[place]]
                if self.cow_of[lactation] in self.once:
                    continue
                if self.calved[lactation] < at < self.dry[lactation] and self.uniform() < self.herd.fetched:
                    brought = at + int(60 * (FETCH_MIN[0] + (FETCH_MIN[1] - FETCH_MIN[0]) * self.uniform()))
                    if self.planned[place] > brought:
                        self.plan(place, brought)

    def call(self, place: int, at: int) -> None:
        """A cow that is to be dried off is brought in, and surely milked."""
        self.sure.add(place)
        self.plan(place, at)

    def goes_out(self, place: int, at: int) -> bool:
        """Whether a cow milked now stays out by the plan; her way back is then planned."""
        planned = self.out.get(place)
        if not planned or at < planned[0].start:
            return False
        self.back[place] = self.wished[place] = at + int(HOUR_S * planned.pop(0).hours)
        self.call(place, self.back[place])
        return True

    def allowed(self, lactation: int, at: int) -> int:
        """Milkings a day that the cow is allowed."""
        if self.cow_of[lactation] in self.once:
            return 1
        return interval_factor((at - self.calved[lactation]) / DAY_S)[0]

    def wish(self, place: int, lactation: int, now: int) -> int:
        """When a cow milked `now` wants to come again: a Weibull interval, moved to the herd's hours."""
        herd = self.herd
        if self.cow_of[lactation] in self.once:
            return now + int(HOUR_S * min(ONCE_A_DAY_H + 1.2 * self.normal(), 24.0))
        _, factor = interval_factor((now - self.calved[lactation]) / DAY_S)
        hours = self.scale * factor * self.interval[self.cow_of[lactation]] * self.weibull()
        if place in self.severe and any(u.start <= now < u.start + 36 * HOUR_S for u in self.severe[place]):
            hours *= self.slower
        if hours > herd.restless_h:
            hours = herd.restless_h + herd.restless_share * (hours - herd.restless_h)
        at = now + int(HOUR_S * (hours if hours > LEAST_H else LEAST_H))
        latest, first, offsets, keen = now + HOUR_S * herd.restless_h, self.calendar.first, self.offsets, self.keen
        while (
            at < latest
            and self.uniform() > keen[(at + offsets[min((at - first) // HOUR_S, len(offsets) - 1)]) % DAY_S // 900]
        ):
            at += int(HOUR_S * (0.2 + 0.6 * self.uniform()))
        return at

    def look_ahead(self, box: int, at: int) -> None:
        """Note when the box is closed next, and opens after that; what is asked later is never before `at`."""
        place = bisect_right(self.opening[box], at)
        self.next_closed[box], self.next_open[box] = self.closed[box][place]

    def open_from(self, box: int, at: int) -> int:
        """The first moment from `at` at which a cow may enter and be out again before the box is closed."""
        closings, closed, stay = self.closing[box], self.closed[box], int(self.herd.longest_stay_s)
        while True:
            after = bisect_right(closings, at + stay)
            if after == 0 or closed[after - 1][1] <= at:
                return at
            at = closed[after - 1][1]

    def choose(self, cow: int, at: int) -> tuple[int, int]:
        """Which box takes her and when: one of the free ones as she likes them, else the first to be free."""
        like, stay, ready, now = self.liking[cow], int(self.herd.longest_stay_s), [], []
        boxes = self.goes_to[cow]
        for box in boxes:
            free = self.free[box]
            moment = free if free > at else at
            if at >= self.next_open[box]:
                self.look_ahead(box, at)
            if moment + stay >= self.next_closed[box]:
                moment = self.open_from(box, moment)
            ready.append(moment)
            if moment <= at:
                now.append(box)
        if not now:
            soonest = min(range(len(boxes)), key=ready.__getitem__)
            return boxes[soonest], ready[soonest]
        draw = self.uniform() * sum(like[b] for b in now)
        for box in now:
            draw -= like[box]
            if draw <= 0:
                return box, at
        return now[-1], at

    def arrive(self, place: int, at: int) -> None:
        """One cow comes to the boxes: her visit is written and the next one planned."""
        herd, uniform = self.herd, self.uniform
        lactation = self.lactation[place][self.now[place]]
        cow = self.cow_of[lactation]
        box, start = self.choose(cow, at)
        if start >= self.dry[lactation]:  # she is dried off, and the place has its next lactation
            self.now[place] += 1
            self.enter(place, start)
            return
        hours = (start - self.milked[place]) / HOUR_S
        sure = place in self.sure
        if hours < SHORTEST_INTERVAL_H[self.allowed(lactation, start)] and not sure:
            stay = int(herd.sent_on_s + 40 * uniform())
            self.rows.append((start, place, lactation, box, REFUSED, stay, np.nan, 0, 0.0, hours))
            self.free[box] = start + stay + 10
            again = start + int(HOUR_S * (0.8 + 2.0 * uniform()))
            self.plan(place, again if uniform() < herd.curious else max(self.wished[place], start + 1200))
            return
        outcome, slow = (MILKED, 1.0) if sure else self.outcome(place, cow, box, start)
        attach = self.attach[cow] * slow * 2.718281828 ** (herd.attach_visit * self.normal())
        attempts = 1 + (uniform() < herd.attempts) + (uniform() < 0.6 * (slow - 1))
        full = self.kg_h[place][(start - self.calendar.first) // DAY_S] * min(hours, 20.0)
        full = max(full * 2.718281828 ** (herd.yield_milking * self.normal()) - self.left_kg[place], 0.5)
        if outcome == FAILED:
            milk, attach, attempts = 0.0, np.nan, 3 + int(3 * uniform())
            seconds = herd.failed_stay_s + 40 * self.normal()
        else:
            milk = full * (0.35 + 0.45 * uniform()) if outcome == INCOMPLETE else full
            seconds = attach + 60 * milk / self.flow[cow] + 35 + 15 * uniform()
        stay = int(min(max(seconds, 90.0), herd.longest_stay_s))
        self.rows.append((start, place, lactation, box, outcome, stay, attach, attempts, milk, hours))
        self.free[box] = start + stay + 15 + int(30 * uniform())
        if outcome == MILKED:
            self.milked[place], self.left_kg[place] = start, 0.0
            self.sure.discard(place)
            if not sure and self.goes_out(place, start):
                return
            self.wished[place] = self.wish(place, lactation, start)
            early = start + int(HOUR_S * (0.8 + 3.2 * uniform()))
            self.plan(place, min(early, self.wished[place]) if uniform() < herd.curious else self.wished[place])
        else:
            self.left_kg[place] += milk
            mean = herd.retry_h if outcome == FAILED else herd.again_h
            mean *= herd.sooner if hours > herd.sooner_from_h else 1.0
            self.plan(place, start + stay + int(HOUR_S * mean * (0.5 + uniform())))

    def outcome(self, place: int, cow: int, box: int, at: int) -> tuple[int, float]:
        """How the visit ends, and the factor of the attach time: her own chance, the box's fault, the day's unrest."""
        held, incomplete, slow = 1.0 - self.failed[cow], self.herd.incomplete, 1.0
        faults = self.faults[box]
        while faults and faults[0].until <= at:
            faults.pop(0)
        for fault in faults:
            if fault.start > at:
                break
            if at < fault.until:
                grown = fault.grown(at)
                held *= 1.0 - grown * fault.failed
                incomplete += grown * fault.incomplete
                slow += grown * fault.attach
        if place in self.fails and (now := [f.chance for f in self.fails[place] if f.start <= at < f.until]):
            held *= 1.0 - now[0]
        while self.disturbed and self.disturbed[0].until + 2 * HOUR_S <= at:
            self.disturbed.pop(0)
        if self.disturbed and self.disturbed[0].start <= at < self.disturbed[0].until:
            held *= 1.0 - self.disturbed[0].failed
            incomplete *= 1.5
            slow += 0.08
        if place in self.kicks:
            incomplete += sum(one.chance for one in self.kicks[place] if one.start <= at < one.until)
        if self.uniform() > held:
            return FAILED, slow
        return (INCOMPLETE if self.uniform() < incomplete else MILKED), slow
