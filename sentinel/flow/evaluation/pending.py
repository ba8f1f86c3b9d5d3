"""What must be judged again: what has changed, compared with how far each rule has been decided.

Judging only this gives the same alerts as judging everything at each tick; it may never change a result, only its cost.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Set
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from sentinel.flow.evaluation.changes import Changes, longest_lasting_s, not_settled
from sentinel.flow.evaluation.doubts import may_be_refuted
from sentinel.flow.evaluation.known_until import known_until
from sentinel.flow.evaluation.progress import Progress
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import DAY_S, Problem, Subject, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import UNREAD, Tables


@dataclass(frozen=True, slots=True)
class Look:
    """The rows that a rule looks at now; `cows` if they are only those of some cows, None if they are all."""

    tables: Tables
    cows: frozenset[str] | None = None

    def sees(self, subject: Subject) -> bool:
        """Whether the rows of a subject are among them."""
        return self.cows is None or name_of(subject).partition("/")[0] in self.cows


@dataclass(frozen=True, slots=True)
class Pending:
    """What is to be judged at the next tick; every method gives a new value.

    Of a tick: `after_batch` for each export, `after_records` of what people said, then `at_tick`; `looks` tells each
    rule what to look at, and `judged` leaves what is pending after it.
    """

    changes: Changes = field(default_factory=lambda: Changes(everything=True))
    progress: Progress = field(default_factory=Progress)

    def after_batch(self, touched: Mapping[str, Set[str]], earliest: int | None, unread: bool) -> Pending:
        """After an export was stored: see `Changes.with_batch`."""
        return replace(self, changes=self.changes.with_batch(touched, earliest, unread))

    def after_records(self, tables: Collection[str]) -> Pending:
        """After sentinel itself has recorded something in some tables: chores done, deliveries that ended."""
        return replace(self, changes=self.changes.with_tables(tables))

    def after_edit(self) -> Pending:
        """After the settings were changed: everything is judged by the new ones."""
        return replace(self, changes=replace(self.changes, everything=True))

    def after_loss(self) -> Pending:
        """After a start, or when what was decided was not kept: everything, as if it had never been decided."""
        return replace(self, changes=replace(self.changes, everything=True), progress=self.progress.forgotten())

    def at_tick(
        self, at: int, rules: Mapping[str, Rule], known: Mapping[str, int | None], cows: Collection[str]
    ) -> Pending:
        """At a tick: up to `known` the tables are complete now; `cows` are looked at again whatever has come."""
        return replace(self, changes=self.changes.with_cows(cows), progress=self.progress.at_tick(at, rules, known))

    def looks(self, tables: Tables, at: int) -> Looks:
        """What each rule must look at of the rows that are known at `at`."""
        return Looks(self.changes, self.progress, tables, at)

    def judged(
        self,
        at: int,
        rules: Mapping[str, Rule],
        judgements: Mapping[str, Judgement],
        failures: Mapping[str, Problem],
        tables: Tables,
        decided_until: Mapping[str, int],
    ) -> Pending:
        """After the tick at `at`; per table `decided_until` is the moment up to which each rule on it is decided."""
        progress = self.progress.judged(at, rules, judgements, failures)
        return replace(self, changes=not_settled(rules, tables, progress.known, decided_until), progress=progress)


@dataclass(frozen=True)
class Looks:
    """What each rule must look at, at one tick, of the rows that are known at it."""

    changes: Changes
    progress: Progress
    tables: Tables
    at: int

    def look_for(self, rule: Rule, measure: Measure) -> Look | None:
        """The rows that a rule must look at now: all, those of some cows, or none if nothing it rests on has moved.

        What came after the moment up to which a sampled measure is decided waits until that moment moves. Of one only
        the readings since it was last decided are asked for, and those of the day before.
        """
        changes, progress, at = self.changes, self.progress, self.at
        if changes.everything or rule.name in progress.failing:
            return Look(self.tables)
        rests_on = {*measure.needs, *measure.uses} | ({UNREAD.name} if may_be_refuted(measure, rule.per) else set())
        overdue = progress.due.get(rule.name, at + 1) <= at
        sampled, decided = measure.name in progress.sampled, progress.decided.get(rule.name)
        if overdue:
            return Look(self.tables)
        if rests_on and not rests_on & (changes.tables | progress.moved):
            return None
        refuted = UNREAD.name in rests_on & changes.tables  # what could not be read may be of any time
        if sampled and decided is not None and changes.earliest > decided and not refuted:
            if known_until(measure, progress.known, at) == decided:
                return None
        if rests_on & changes.behind_herd:
            return Look(self.tables)
        if sampled and not measure.herd_wide and rule.per in ("cow", "quarter"):
            return self._of_changed_cows if changes.cows else None
        if sampled and decided is not None and not longest_lasting_s(rule):
            return self._since(decided, measure)
        return Look(self.tables)

    @cached_property
    def _of_changed_cows(self) -> Look:
        """All rows of the cows that changed, and of no other; several rules look at them."""
        return Look(self.tables.of_cows(self.changes.cows), self.changes.cows)

    def _since(self, decided: int, measure: Measure) -> Look | None:
        """All rows, of which the readings are asked for since the rule was last decided."""
        cows = None
        if measure.asks_cows:
            cows = self.changes.cows | milked_since(self.tables, self.changes.earliest)
            if not cows:
                return None
        asked_from = min(decided - DAY_S, self.changes.earliest)  # what a late row has changed is asked for as well
        farm = replace(self.tables.farm, asked_from=asked_from, asked_cows=cows)
        return Look(replace(self.tables, farm=farm), cows)


def milked_since(tables: Tables, moment: int) -> frozenset[str]:
    """The cows with a visit later than a moment: rows of others that changed then may have changed their readings."""
    visits = tables.visits
    later = int(np.searchsorted(visits["start"].to_numpy(np.int64), moment, side="right"))
    return frozenset(visits["cow"].iloc[later:])
