"""Everything known about the boxes' visits, with running sums so that any window can be asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.derived import Derived
from sentinel.flow.measures.base.chance import Whole
from sentinel.flow.measures.boxes.attach_times import times_of
from sentinel.flow.measures.boxes.failures.failure_chance import UNIT, Tries, tries_of
from sentinel.flow.measures.boxes.failures.shiryaev_roberts import ratios
from sentinel.flow.measures.boxes.peer_baseline import Named, Seen, named, up_to
from sentinel.flow.measures.boxes.teat_positions import Teats, teats_of
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables


@dataclass(frozen=True)
class Case:
    """Everything that is known of the boxes' visits, worked out once and only as far as it is asked for."""

    tables: Tables
    who: Named

    @classmethod
    def of(cls, tables: Tables) -> Case:
        """The case of these rows, kept with them, as the measures of the boxes ask one after another."""
        alone = replace(tables, derived=Derived())
        rests_on = tables.visits, tables.box_log
        return tables.derived.of("box_case", rests_on, lambda: cls(alone, named(tables.visits)), brief=True)

    @cached_property
    def tries(self) -> Tries:
        """Every try to attach with its chance to fail."""
        return tries_of(self.tables.visits, self.who)

    @cached_property
    def teats(self) -> Teats:
        """Where the boxes saw the teats."""
        return teats_of(self.tables, self.who)

    @cached_property
    def times(self) -> Seen:
        """How long the boxes took to attach."""
        return times_of(self.tables, self.who)

    def several(self, at: Whole) -> NDArray[np.bool_]:
        """Whether more than one box had a try in the 7 days up to each moment."""
        tries, none = self.by_box, np.zeros(len(at), np.int64)
        boxes = range(len(self.who.boxes))
        works = [tries.places(none + box, at) > tries.places(none + box, at - 7 * DAY_S) for box in boxes]
        return np.asarray(np.sum(works, axis=0) > 1) if works else none > 0

    @cached_property
    def by_box(self) -> Sums:
        """The tries by box, then time."""
        return Sums.of(self.tries, self.tries.box)

    @cached_property
    def by_cow(self) -> Sums:
        """The tries by cow, then time."""
        return Sums.of(self.tries, self.tries.cow)

    @cached_property
    def by_time(self) -> Sums:
        """The tries of the whole herd by time."""
        return Sums.of(self.tries, np.zeros(len(self.tries), np.int64))


@dataclass(frozen=True, slots=True)
class Sums:
    """Tries by group, then time, with running sums in 2^-20: failures, chances, and logarithms of likelihoods."""

    group: Whole
    at: Whole
    row: Whole
    failed: Whole
    own: Whole
    more: Whole  # per alternative: of more failures over as usual
    usual: Whole  # of as usual

    @classmethod
    def of(cls, tries: Tries, group: Whole) -> Sums:
        """The tries by these groups, in their own order of time within each."""
        row = np.argsort(group, kind="stable")
        p, failed = tries.own[row] / UNIT, tries.failed[row]
        more = np.rint(np.log(ratios(p, failed)) * UNIT).astype(np.int64)
        usual = np.rint(np.log(np.where(failed, p, 1.0 - p)) * UNIT).astype(np.int64)
        parts = (failed.astype(np.int64), tries.own[row], more, usual)
        running = (np.concatenate([np.zeros((1, *x.shape[1:]), np.int64), np.cumsum(x, axis=0)]) for x in parts)
        return cls(group[row], tries.at[row], row, *running)

    def places(self, group: Whole, at: Whole) -> Whole:
        """How many tries stand up to each (group, moment)."""
        return up_to(self.group, self.at, group, at)
