"""The engine: one tick in, everything decided and kept. Live and replay run this same code.

A tick carries a moment, the exports first known at it, and what people said since the last one; the engine reads
no clock, no folder and no network.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_with, newest_alert_id, newest_alerts, save_alerts
from sentinel.edges.store.clock_jumps import chores_by_now, follow
from sentinel.edges.store.feeds import feed_state
from sentinel.edges.store.history import last_known, last_tick, put_tick
from sentinel.edges.store.ingest import Ingested, ingest
from sentinel.edges.store.inputs import mark_inputs_known
from sentinel.edges.store.log import append_entries
from sentinel.edges.store.outbox import notices_since, put_notices
from sentinel.flow.alerts import age_dues, take_answers
from sentinel.flow.decide import (
    Decision,
    Look,
    decide,
    links_of,
    milked_since,
    notice_entry,
    problem_entry,
    rule_changes,
    waits_s,
    without_future,
)
from sentinel.flow.doubts import may_be_refuted
from sentinel.flow.known import ENDED, ended_until, known_by_table, known_until
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.shape import Measure
from sentinel.flow.model import DAY_S, Alert, Batch, Entry, Notice, Tick, TickKind, kind_of, name_of
from sentinel.flow.notices import LATE_S, OWED_FOR_S, PLACES, next_due, plan, watched_line
from sentinel.flow.rulebook import Rule
from sentinel.flow.setup import Setup, farm_facts
from sentinel.flow.tables import CHORES, DELIVERIES, FILES, UNREAD, VISITS, Tables, table_named
from sentinel.flow.views.due import due_lines
from sentinel.flow.words import Words, told
from sentinel.texts import words_of
from sentinel.window import KEEP_S, Window

FAR = 2**62
"""Later than any moment."""


@dataclass(frozen=True, slots=True)
class Stepped:
    """What a tick did: the alerts that changed, the log entries, the notices to send, the next due moment."""

    alerts: tuple[Alert, ...] = ()
    entries: tuple[Entry, ...] = ()
    notices: tuple[Notice, ...] = ()
    due: int | None = None


class Engine:
    """Takes ticks in strictly rising order of time and keeps everything they lead to in the store."""

    def __init__(self, store: Store, setup: Setup, *, tell: bool = True) -> None:
        """Work on `store` by `setup`; with `tell` False no notices are planned (a replay needs none)."""
        self.store = store
        self.setup = setup
        self._tell = tell
        self._window: Window | None = None
        self._alerts = newest_alerts(store)
        self._all = True
        self._behind_herd: set[str] = set()
        self._because: list[str] = []
        self._cows: set[str] = set()
        self._touched: set[str] = set()
        self._earliest = FAR
        self._theirs: Look | None = None
        self._dues: dict[str, int] = {}
        self._decided: dict[str, int] = {}
        self._known: Mapping[str, int | None] = {}
        self._sampled: set[str] = set()
        self._failing: dict[str, str] = {}
        self._absorbed, self._fresh = False, Ingested(0)
        self._undone = store.undone
        self.troubles: Callable[[], Sequence[str]] = tuple

    @property
    def tables(self) -> Tables | None:
        """The rows that are known now, for whoever shows them; None before the first tick. Never changed in place."""
        return None if self._window is None else self._window.tables

    @property
    def words(self) -> Words:
        """The words in which the farm is told things."""
        return words_of(self.setup.farm)

    def use(self, setup: Setup, undo: bool = False) -> None:
        """From the next tick on go by a changed setup; that tick says in the log which edit did what.

        With `undo` it is the one from before a change that failed, of which nothing is said.
        """
        said = rule_changes(self.setup.rules, setup.rules)
        said += ["farm.yaml was changed"] * (setup.farm != self.setup.farm)
        said += ["people.yaml was changed"] * (setup.people != self.setup.people)
        self._because = [] if undo else [*self._because, *said]
        self.setup = setup
        self._all = True

    def step(self, tick: Tick, after_batch: Callable[[int], None] = lambda index: None) -> Stepped:
        """Take one tick. `after_batch(i)` is called inside the transaction that stores the tick's i-th batch.

        Raises ValueError if the tick does not come after the last one, or comes before an export that was read, and
        does not say that the clock was put back.
        """
        if not tick.jumped_s:
            return self._step(tick, last_tick(self.store), after_batch)
        with self.store.writing():
            follow(self.store, tick.at, tick.jumped_s)
            self._window = None
            last = last_tick(self.store)
            if tick.jumped_s < 0:  # a list that was due just now and passed over is sent
                last = None if last is None else min(last, tick.at - LATE_S)
            return self._step(tick, last, after_batch)

    def _step(self, tick: Tick, last: int | None, after_batch: Callable[[int], None]) -> Stepped:
        """The same, once the store goes by the tick's clock; `last`: the tick before."""
        at = tick.at
        if tick.jumped_s >= 0 and ((last is not None and at <= last) or at < (last_known(self.store) or at)):
            raise ValueError(f"a tick at {at} cannot follow what became known at {last_known(self.store)}")
        for index, batch in enumerate(tick.batches):
            self.absorb(at, batch, partial(after_batch, index))
        window = self._ready(at, tick.kind)
        with self.store.writing():
            entries = self._take_inputs(tick)
            window.take_own(self._brought(tick))
            stepped = self._decide(tick, window, last, entries)
            if stepped.entries or stepped.alerts or self._absorbed or tick.said:
                put_tick(self.store, tick)
        self._because, self._touched, self._earliest, self._theirs = [], set(), FAR, None
        self._absorbed, self._fresh = False, Ingested(0)
        self._all, self._behind_herd, self._cows = self._undecided(window, at)
        return stepped

    def absorb(self, at: int, batch: Batch, inside: Callable[[], None] = lambda: None) -> None:
        """Store what one export gave, in one transaction, without deciding yet: for a backlog that is caught up.

        `inside` is called within that transaction.
        """
        self._watched_from(at)
        with self.store.writing():
            done = ingest(self.store, without_future(batch, at), at)
            inside()
            self._note(done)
        self._absorbed = True

    def _watched_from(self, at: int) -> None:
        """Remember when watching began."""
        if self.store.meta("watched_since") is None:
            self.store.put_meta("watched_since", str(at))

    def _ready(self, at: int, kind: TickKind) -> Window:
        """The window, read anew at a start, so that what is decided never rests on what a crash might have lost."""
        self._watched_from(at)
        reach = self.reach(at)
        if self._window is None or kind is TickKind.START or self.store.undone != self._undone:
            self._undone = self.store.undone  # what was decided and then not kept must not be remembered either
            self._window = Window(self.store, reach)
            self._alerts = newest_alerts(self.store)
            self._all, self._decided, self._dues, self._failing = True, {}, {}, {}
        elif not self._window.reaches(reach):  # a feed begins that is far behind, or a rule that rests on one
            self._window = Window(self.store, reach)
        else:
            self._window.take(self._fresh)
        self._window.forget(reach)
        return self._window

    def reach(self, at: int) -> dict[str, int]:
        """Per table of the window the earliest moment up to which a rule that looks at it can be decided."""
        known = known_by_table(farm_facts(self.setup, feed_state(self.store), at, {}).feeds)
        reach = dict.fromkeys(KEEP_S, at)
        for rule in self.setup.rules.values():
            measure = measure_named(rule.measure)
            until = known_until(measure, known, at)
            if until is not None:
                for table in {name.partition(".")[0] for name in (*measure.needs, *measure.uses)}:
                    reach[table] = min(reach[table], until)
        return reach

    def _note(self, done: Ingested) -> None:
        """Remember what an export has touched, so that only that is read into the window and looked at again."""
        self._fresh = self._fresh.with_(done if self._window is None else self._window.within(done))
        self._touched |= {table for table, who in done.touched.items() if who}
        self._cows |= done.touched.get("visits", set()) | done.touched.get("cow_tests", set())
        self._earliest = min(self._earliest, FAR if done.earliest is None else done.earliest)
        if done.touched.get("cows"):
            self._all = True  # an attribute may let go of a cow, or put her into another class

    def _brought(self, tick: Tick) -> set[str]:
        """Which of the tables that sentinel fills itself have new rows at this tick."""
        has = {FILES: self._absorbed, UNREAD: self._fresh.unread, CHORES: tick.chores, DELIVERIES: tick.deliveries}
        brought = {table.name for table, new in has.items() if new}
        self._touched |= brought
        return brought

    def _undecided(self, window: Window, at: int) -> tuple[bool, set[str], set[str]]:
        """What must be looked at again even if nothing new comes of it, as it lies past what could be decided now.

        Whether all, as nothing could be yet; the tables that the herd list is ahead of, so that an attribute may change
        for any cow; and the cows whose own rows are ahead, or too new to have lasted.
        """
        if any(name in self._known and self._known[name] is None for name in ("visits", "cow_tests")):
            return True, set(), set()
        reach = self.reach(at)
        listed = window.tables.cows["from"].to_numpy(np.int64)
        behind = {name for name in ("visits", "cow_tests") if len(listed) and int(listed[-1]) > reach[name]}
        cows, waits = set(), max(map(waits_s, self.setup.rules.values()), default=0)
        for name in ("visits", "cow_tests"):
            frame = getattr(window.tables, name)
            moments = frame[table_named(name).happened].to_numpy(np.int64)
            cows |= set(frame["cow"].iloc[int(np.searchsorted(moments, reach[name] - waits, side="left")) :])
        return False, behind, cows

    def _take_inputs(self, tick: Tick) -> list[Entry]:
        """What people said becomes known at this tick; its entries for the log."""
        at = tick.at
        entries: list[Entry] = []
        if tick.kind in (TickKind.START, TickKind.STOP):
            entries.append(Entry(at, tick.kind.value))
        if tick.jumped_s:
            entries.append(Entry(at, "clock-jump", body={"by_s": tick.jumped_s}))
        if any(chore.at > at for chore in tick.chores):
            chores_by_now(self.store, at)
        if self._because:
            entries.append(Entry(at, "rules-changed", body={"changes": list(self._because)}))
        for chore in tick.chores:
            subject = f"chore:{chore.chore}/{chore.place}" if chore.place else f"chore:{chore.chore}"
            body = {"done_at": chore.at, "note": chore.note}
            entries.append(Entry(at, "chore", subject=subject, person=chore.person, body=body))
        named = alerts_with(self.store, {answer.alert for answer in tick.answers})  # it need not be the newest
        answered, told = take_answers(at, tick.answers, named)
        self._keep(answered)
        entries += told
        mark_inputs_known(self.store, tick)
        return entries

    def _keep(self, alerts: Sequence[Alert]) -> None:
        """Write alerts to the store and remember the newest of each rule and subject."""
        save_alerts(self.store, alerts)
        for alert in alerts:
            newest = self._alerts.get((alert.rule, alert.subject))
            if newest is None or newest.id <= alert.id:
                self._alerts[(alert.rule, alert.subject)] = alert

    def _decide(self, tick: Tick, window: Window, last: int | None, entries: list[Entry]) -> Stepped:
        """Judge, move the alerts, plan the notices, and write it all down."""
        at, setup = tick.at, self.setup
        watched_since = int(self.store.meta("watched_since") or at)
        feeds = farm_facts(setup, feed_state(self.store), watched_since, {}).feeds
        known = known_by_table(feeds)
        visited = known.get(VISITS.name)
        if visited is not None:
            known[ENDED] = ended_until(window.tables.visits, visited, setup.farm.boxes, at)
        before = dict(self._decided)
        self._count_decided(known, at)
        # a rule that waits for its feed is not blind: the feed is within its time, or it is quiet, which is told
        decided = {name: until if name in self._failing else at for name, until in self._decided.items()}
        facts = farm_facts(setup, feed_state(self.store), watched_since, decided)
        moved_known = {table for table in known if known[table] != self._known.get(table, 0)}
        self._known = known
        window.with_farm(facts)
        old = (a.subject for a in self._alerts.values() if a.standing and a.old)
        self._cows |= {name_of(one).partition("/")[0] for one in old if kind_of(one) in ("cow", "quarter")}
        links = links_of(at, setup.rules, window.tables, facts)

        def look_for(rule: Rule, measure: Measure) -> Look | None:
            return self._look_for(rule, measure, window.tables, moved_known, before.get(rule.name), at)

        next_id = 1 + newest_alert_id(self.store)
        because = "; ".join(self._because)
        decision = decide(at, setup.rules, look_for, known, self._alerts, next_id, links, self.words, because)
        self._remember(decision, before, at)
        self._keep(decision.moved.alerts)
        entries += [*decision.moved.entries, *self._failure_entries(at, decision)]
        notices: list[Notice] = []
        due = min([*self._dues.values(), *age_dues(at, setup.rules, self._alerts.values())], default=None)
        if self._tell:
            notices, told_due = self._plan(at, last, window.tables)
            entries += [notice_entry(notice) for notice in notices]
            due = min([m for m in (due, told_due) if m is not None], default=None)
        append_entries(self.store, entries)
        return Stepped(decision.moved.alerts, tuple(entries), tuple(notices), due)

    def _look_for(
        self, rule: Rule, measure: Measure, tables: Tables, moved_known: set[str], decided: int | None, at: int
    ) -> Look | None:
        """The rows a rule must look at now: all, those of some cows, or none if nothing moved.

        What came after the moment up to which a sampled measure is decided waits until that moment moves. Of one only
        the readings since it was last decided are asked for, and those of the day before.
        """
        if self._all or rule.name in self._failing:
            return Look(tables)
        rests_on = {*measure.needs, *measure.uses} | ({UNREAD.name} if may_be_refuted(measure, rule.per) else set())
        overdue = self._dues.get(rule.name, at + 1) <= at
        if rests_on and not overdue and not rests_on & (self._touched | moved_known):
            return None
        if measure.name in self._sampled and not overdue and decided is not None and self._earliest > decided:
            if known_until(measure, self._known, at) == decided:
                return None
        if rests_on & self._behind_herd:
            return Look(tables)
        if measure.name in self._sampled and not measure.herd_wide and rule.per in ("cow", "quarter") and not overdue:
            if not self._cows:
                return None
            if self._theirs is None:
                visits, tests = (
                    frame[frame["cow"].isin(self._cows).to_numpy(bool)].reset_index(drop=True)
                    for frame in (tables.visits, tables.cow_tests)
                )
                self._theirs = Look(replace(tables, visits=visits, cow_tests=tests), frozenset(self._cows))
            return self._theirs
        cows = self._cows | milked_since(tables, self._earliest) if measure.asks_cows and not overdue else None
        if measure.name in self._sampled and decided is not None and not overdue and not waits_s(rule):
            if cows is not None and not cows:
                return None
            asked_from = min(decided - DAY_S, self._earliest)  # what a late row has changed is asked for as well
            asked_cows = None if cows is None else frozenset(cows)
            return Look(
                replace(tables, farm=replace(tables.farm, asked_from=asked_from, asked_cows=asked_cows)), asked_cows
            )
        return Look(tables)

    def _count_decided(self, known: Mapping[str, int | None], at: int) -> None:
        """Up to when each rule can be decided at this tick, unless it was failing at the last one."""
        decided = {}
        for name, rule in self.setup.rules.items():
            until = known_until(measure_named(rule.measure), known, at)
            before = self._decided.get(name)
            if until is not None and name not in self._failing:
                before = until if before is None else max(until, before)
            if before is not None:
                decided[name] = before
        self._decided = decided

    def _remember(self, decision: Decision, before: Mapping[str, int], at: int) -> None:
        """When each rule changes by itself next; a rule that failed at this tick was not decided at it."""
        for name, judgement in decision.judged.items():
            rule = self.setup.rules[name]
            measure = measure_named(rule.measure)
            if judgement.sampled:
                self._sampled.add(measure.name)
            due, last = judgement.due, self._dues.pop(name, at)
            if judgement.sampled and last > at:  # only some cows were looked at; another's moment may still be ahead
                due = last if due is None else min(due, last)
            if due is not None:
                self._dues[name] = due
        self._dues = {name: due for name, due in self._dues.items() if name in self.setup.rules and due > at}
        failed = {problem.message.partition(" ")[0] for problem in decision.failures}
        for name in failed:
            self._decided[name] = before.get(name, at)
        if self._failing.keys() - failed:  # it works again: whoever watches for that looks in a second
            self._dues |= {name: at + 1 for name, rule in self.setup.rules.items() if rule.measure == "rule_blind_h"}

    def _failure_entries(self, at: int, decision: Decision) -> list[Entry]:
        """A failing rule is told once, not at every tick."""
        failing = {problem.message.partition(" ")[0]: problem for problem in decision.failures}
        fresh = [p for name, p in failing.items() if self._failing.get(name) != p.message]
        self._failing = {name: problem.message for name, problem in failing.items()}
        return [problem_entry(at, problem) for problem in fresh]

    def _plan(self, at: int, last: int | None, tables: Tables) -> tuple[list[Notice], int | None]:
        """The notices of this tick, written to the outbox, and when to look again."""
        setup, words, known = self.setup, self.words, {feed.name: feed.known_until for feed in tables.farm.feeds}
        desk = setup.desk(words)
        alerts = [
            a for a in self._alerts.values() if a.standing or (a.over_at is not None and a.over_at >= at - OWED_FOR_S)
        ]
        alerts.sort(key=lambda a: a.id)
        ids = {a.id for a in alerts}
        sent = [
            n
            for n in notices_since(self.store, min([at - 2 * DAY_S, *(a.raised_at for a in alerts)]))
            if n.at > at - DAY_S or ids & set(n.alerts)
        ]

        def due() -> Sequence[tuple[str, str]]:
            try:
                return due_lines(alerts, tables, setup.rules, setup.farm, words, at)
            except Exception as error:  # the list of what stands is sent whatever it is
                why = f"{type(error).__name__}: {error}"
                return [(PLACES[-1], told(words, "Which chores are due could not be told: {why}", why=why))]

        planned = plan(at, desk, alerts, sent, last, known, due, partial(watched_line, at, desk, tables, self.troubles))
        notices = put_notices(self.store, planned, {person.name: person.channels for person in setup.people})
        return notices, next_due(at, desk, alerts, [*sent, *notices])
