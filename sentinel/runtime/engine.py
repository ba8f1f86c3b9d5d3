"""The engine: one tick in, everything decided and kept. Live and replay run this same code.

A tick carries a moment, the exports first known at it, and what people said since the last one; the engine reads
no clock, no folder and no network.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from sentinel.edges.locales import words_of
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import (
    alerts_of_incidents,
    alerts_with,
    newest_alert_id,
    newest_alerts,
    numbers_of_incidents,
    save_alerts,
)
from sentinel.edges.store.clock_jumps import chores_by_now, follow
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.exports.ingest import ingest
from sentinel.edges.store.exports.taking_back import take_back
from sentinel.edges.store.history import last_known, last_tick, put_tick
from sentinel.edges.store.inputs import mark_inputs_known, take_back_chores
from sentinel.edges.store.log import append_entries
from sentinel.edges.store.outbox import notices_about, put_notices
from sentinel.flow.alerts.lifecycle import age_dues, take_answers
from sentinel.flow.alerts.links import links_of
from sentinel.flow.alerts.read_again import ReadAgain
from sentinel.flow.decide import decide, notice_entry, problem_entry, rule_changes, without_future
from sentinel.flow.evaluation.known_until import (
    ENDED,
    EVERY_BOX,
    ended_until,
    known_by_box,
    known_by_table,
    known_until,
    of_box,
    stood_until,
)
from sentinel.flow.evaluation.pending import Pending
from sentinel.flow.herd.week import HerdWeek, herd_week
from sentinel.flow.language import Words, told
from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S, Alert, Batch, Entry, Notice, Tick, TickKind, kind_of, name_of
from sentinel.flow.notices import LATE_S, OWED_FOR_S, Due, due_in_round, next_due, plan, watched_line
from sentinel.flow.notices.cows_to_bring import about_cows
from sentinel.flow.notices.together import About
from sentinel.flow.setup import Setup, farm_facts
from sentinel.flow.subjects import OFFICE
from sentinel.flow.tables import BOX_LOG, CHORES, DELIVERIES, FILES, OWN, STORED, VISITS, ChoreFacts, FeedFacts, Tables
from sentinel.runtime.known.collection_pages import as_page
from sentinel.runtime.known.feed_files import ShownByFiles
from sentinel.runtime.known.feed_paces import FeedPaces
from sentinel.runtime.known.herd_history import HerdHistory
from sentinel.runtime.known.window import Window

log = logging.getLogger("sentinel")


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
        self._because: list[str] = []
        self.pending = Pending()
        self._undone = store.undone
        self._read_again = ReadAgain()
        self.troubles: Callable[[], Sequence[str]] = tuple
        self._history = HerdHistory(store)
        self._paces = FeedPaces(store)
        self._files = ShownByFiles(store)

    @property
    def tables(self) -> Tables | None:
        """The rows known now, for anything that shows them; None before the first tick. Never changed in place."""
        return None if self._window is None else self._window.tables

    @property
    def words(self) -> Words:
        """The words in which the farm is told things."""
        return words_of(self.setup.farm)

    def use(self, setup: Setup, undo: bool = False) -> None:
        """From the next tick on go by a changed setup; that tick says in the log which edit did what.

        With `undo` it is the one from before a change that failed, of which nothing is said.
        """
        changes = rule_changes(self.setup.rules, setup.rules)
        changes += ["farm.yaml was changed"] * (setup.farm != self.setup.farm)
        changes += ["people.yaml was changed"] * (setup.people != self.setup.people)
        self._because = [] if undo else [*self._because, *changes]
        self.setup = setup
        self.pending = self.pending.after_edit()

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
            pending = self.pending.after_records(_recorded(tick))
            changed = pending.changes.tables
            window.take_own({table.name for table in OWN} & changed)
            stepped, pending = self._decide(tick, window, last, entries, pending)
            if stepped.entries or stepped.alerts or FILES.name in changed or tick.has_inputs:
                put_tick(self.store, tick)
        self._because, self.pending, self._read_again = [], pending, ReadAgain()
        window.tables.derived.let_go()
        return stepped

    def absorb(self, at: int, batch: Batch, inside: Callable[[], None] = lambda: None) -> None:
        """Store what one export gave, in one transaction, without deciding yet: for a backlog that is caught up.

        `inside` is called within that transaction.
        """
        self._watched_from(at)
        with self.store.writing():
            for one in batch.every:
                self._store(at, one)
            inside()

    def _store(self, at: int, batch: Batch) -> None:
        """Store what one export gave for one feed, within the transaction of all that it gave."""
        store_it = take_back if batch.takes_back else ingest
        done = store_it(self.store, as_page(self.store, without_future(batch, at)), at)
        if self._window is not None:
            self._window.note(done)
        self.pending = self.pending.after_batch(done.touched, done.earliest, done.unread)
        if batch.reread is not None:
            self.pending = self.pending.after_loss()
            self._read_again = self._read_again.with_(batch.reread.because, done.touched)

    def _watched_from(self, at: int) -> None:
        """Remember when watching began."""
        if self.store.meta("watched_since") is None:
            self.store.put_meta("watched_since", str(at))

    def _ready(self, at: int, kind: TickKind) -> Window:
        """The window, read anew at a start, so that what is decided never rests on what a crash might have lost."""
        self._watched_from(at)
        reach = self.reach(at)
        if self._window is None or self._read_again or kind is TickKind.START or self.store.undone != self._undone:
            self._undone = self.store.undone  # what was decided and then not kept must not be remembered either
            self._paces.forget()
            self._files.forget()
            self._window = Window(self.store, reach)
            self._alerts = newest_alerts(self.store)
            self.pending = self.pending.after_loss()
        elif not self._window.reaches(reach):  # a feed begins that is far behind, or a rule that rests on one
            self._window = Window(self.store, reach)
        else:
            self._window.take()
        self._window.forget(reach)
        return self._window

    def reach(self, at: int) -> dict[str, int]:
        """Per table of the window the earliest moment up to which a rule that looks at it can be decided."""
        feeds = farm_facts(self.setup, feed_state(self.store), at, {}, files=self._files.at(at)).feeds
        known = known_by_table(feeds) | known_by_box(feeds, self.setup.farm.boxes, {})
        least = min((moment for name, moment in known.items() if name.startswith(of_box("")) and moment), default=at)
        reach = {table.name: at for table in STORED}
        for rule in self.setup.rules.values():
            measure = measure_named(rule.measure)
            until = known_until(measure, known, at)
            if until is not None:
                until = min(until, least) if measure.of_each_box else until
                for table in {name.partition(".")[0] for name in (*measure.needs, *measure.uses)}:
                    reach[table] = min(reach[table], until)
        return reach

    def seen_at(self, at: int) -> tuple[Tables, dict[str, int | None]]:
        """The rows, and up to when each table is known, as a tick at `at` would look at them; nothing is decided."""
        window = self._ready(at, TickKind.START)
        watched_since, state, files = self._watched_since(at), feed_state(self.store), self._files.at(at)
        known = self._known(farm_facts(self.setup, state, watched_since, {}, files=files).feeds, window.tables, at)
        seeing = self.pending.at_tick(at, self.setup.rules, known, set()).progress.seeing_until(at)
        facts = farm_facts(self.setup, state, watched_since, seeing, self._paces.at(at), files)
        return replace(window.tables, farm=facts), known

    def _watched_since(self, at: int) -> int:
        """Since when the farm is watched."""
        return int(self.store.meta("watched_since") or at)

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
            if chore.undoes is None:
                body = {"done_at": chore.at, "note": chore.note}
                subject = ChoreFacts(chore.chore, chore.place).subject
                entries.append(Entry(at, "chore", subject=subject, person=chore.person, body=body))
        for taken_back in take_back_chores(self.store, at):
            word = taken_back.by
            body = {"done_at": taken_back.done_at, "done_by": taken_back.done_by, "said_at": word.at, "note": word.note}
            subject = ChoreFacts(word.chore, word.place).subject
            entries.append(Entry(at, "chore-undone", subject=subject, person=word.person, body=body))
        named = alerts_with(self.store, {answer.alert for answer in tick.answers})  # it need not be the newest
        together = alerts_of_incidents(self.store, {alert.incident for alert in named}) if named else []
        answered, answer_entries = take_answers(at, tick.answers, together)
        self._keep(answered)
        entries += answer_entries
        mark_inputs_known(self.store, tick)
        return entries

    def _keep(self, alerts: Sequence[Alert]) -> None:
        """Write alerts to the store and remember the newest of each rule and subject."""
        save_alerts(self.store, alerts)
        for alert in alerts:
            newest = self._alerts.get((alert.rule, alert.subject))
            if newest is None or newest.id <= alert.id:
                self._alerts[(alert.rule, alert.subject)] = alert

    def _decide(
        self, tick: Tick, window: Window, last: int | None, entries: list[Entry], pending: Pending
    ) -> tuple[Stepped, Pending]:
        """Judge what is pending, move the alerts, plan the notices, write it all down; and what is pending then."""
        at, setup = tick.at, self.setup
        watched_since, files = self._watched_since(at), self._files.at(at)
        feeds = farm_facts(setup, feed_state(self.store), watched_since, {}, files=files).feeds
        known = self._known(feeds, window.tables, at)
        pending = pending.at_tick(at, setup.rules, known, self._cows_of_old_news())
        seeing = pending.progress.seeing_until(at)
        paces = self._paces.at(at)
        facts = farm_facts(setup, feed_state(self.store), watched_since, seeing, paces, files, self._paces.lags)
        window.with_farm(facts)
        tables = window.tables
        links = links_of(at, setup.rules, tables, facts)
        looks = pending.looks(tables, at)
        next_id = 1 + newest_alert_id(self.store)
        because = "; ".join(self._because)
        decision = decide(
            at, setup.rules, looks.look_for, known, self._alerts, next_id, links, self.words, because, self._read_again
        )
        fresh = pending.progress.newly_failing(decision.failures)
        pending = pending.judged(at, setup.rules, decision.judged, decision.failures, tables, self.reach(at))
        self._keep(decision.moved.alerts)
        entries += [*decision.moved.entries, *(problem_entry(at, problem) for problem in fresh)]
        notices: list[Notice] = []
        due = min([*pending.progress.due.values(), *age_dues(at, setup.rules, self._alerts.values())], default=None)
        if self._tell:
            notices, told_due = self._plan(at, last, tables)
            entries += [notice_entry(notice) for notice in notices]
            due = min([m for m in (due, told_due) if m is not None], default=None)
        append_entries(self.store, entries)
        return Stepped(decision.moved.alerts, tuple(entries), tuple(notices), due), pending

    def _known(self, feeds: Sequence[FeedFacts], tables: Tables, at: int) -> dict[str, int | None]:
        """Up to when each table is complete, and each box; and up to when no visit is under way."""
        boxes = self.setup.farm.boxes
        known = known_by_table(feeds)
        by_box = known_by_box(feeds, boxes, {})
        stood = stood_until(tables.box_log, known.get(BOX_LOG.name), by_box, boxes)
        known |= known_by_box(feeds, boxes, stood) if stood else by_box
        visited = known.get(VISITS.name)
        if visited is not None:
            every = known.get(EVERY_BOX)
            visited = visited if every is None else min(visited, every)
            known[ENDED] = ended_until(tables.visits, visited, boxes, at)
        return known

    def _cows_of_old_news(self) -> set[str]:
        """The cows whose standing alerts rest on old data: they press when newer data has come."""
        old = (a.subject for a in self._alerts.values() if a.standing and a.old)
        return {name_of(one).partition("/")[0] for one in old if kind_of(one) in ("cow", "quarter")}

    def _plan(self, at: int, last: int | None, tables: Tables) -> tuple[list[Notice], int | None]:
        """The notices of this tick, written to the outbox, and when to look again."""
        setup, words, known = self.setup, self.words, {feed.name: feed.known_until for feed in tables.farm.feeds}
        desk = setup.desk(words)
        live = {
            a.incident
            for a in self._alerts.values()
            if a.standing or (a.over_at is not None and a.over_at >= at - OWED_FOR_S)
        }
        alerts = self._of_incidents(live)
        sent = notices_about(self.store, [a.id for a in alerts], at - DAY_S)

        def due(listed: Sequence[Alert]) -> Due:
            try:
                return due_in_round(listed, tables, setup.rules, setup.farm, words, at)
            except Exception as error:  # the list of what stands is sent whatever it is
                why = f"{type(error).__name__}: {error}"
                return Due(((OFFICE, told(words, "Which chores are due could not be worked out: {why}", why=why)),))

        def week() -> HerdWeek | str:
            try:
                standing = [alert for alert in self._alerts.values() if alert.standing]
                past = self._history.past(tables, setup.rules, setup.farm.zone, at)
                return herd_week(tables, past, setup.rules, standing, setup.farm.zone, at)
            except Exception as error:  # the other notices are sent whatever it is
                why = f"{type(error).__name__}: {error}"
                return told(words, "How the herd is doing could not be worked out: {why}", why=why)

        all_watched = partial(watched_line, at, desk, tables, self.troubles)

        def about(several: Sequence[Alert]) -> Mapping[int, About]:
            try:
                return about_cows(several, tables, words, at)
            except Exception:  # what is told is told in any case
                log.exception("what else there is to say of several alerts could not be worked out")
                return {}

        planned = plan(at, desk, alerts, sent, last, known, due, all_watched, week, about)
        notices = put_notices(self.store, planned, {person.name: person.channels for person in setup.people})
        return notices, next_due(at, desk, alerts, [*sent, *notices])

    def _of_incidents(self, numbers: Collection[int]) -> list[Alert]:
        """Every alert of some incidents; those that are not the newest of their rule and subject are looked up."""
        known = {alert.id: alert for alert in self._alerts.values() if alert.incident in numbers}
        others = [number for number in numbers_of_incidents(self.store, numbers) if number not in known]
        found = [*known.values(), *(alerts_with(self.store, others) if others else ())]
        return sorted(found, key=lambda alert: alert.id)


def _recorded(tick: Tick) -> set[str]:
    """Which of the tables that sentinel fills itself have new rows of what came with a tick."""
    has = {CHORES: tick.chores, DELIVERIES: tick.deliveries}
    return {table.name for table, new in has.items() if new}
