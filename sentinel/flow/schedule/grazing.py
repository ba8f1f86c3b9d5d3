"""The grazing plan on the calendar: when each block is grazed, when its wire is due, and which cows are still out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.ordering import natural_key
from sentinel.flow.settings.farm import Farm, GrazingPlan
from sentinel.flow.settings.people import moment
from sentinel.flow.tables import IN_MILK, Tables
from sentinel.flow.tables.herd_list import GONE

KNOWN_FOR_S = 4 * DAY_S
"""A cow without a visit for longer is not told as still out: she is dry, sold or kept elsewhere (common practice)."""


@dataclass(frozen=True, slots=True)
class Session:
    """One block on one day: grazed in [begins, ends), its wire to be moved by `wire_due` (None: not planned)."""

    block: GrazingPlan
    begins: int
    ends: int
    wire_due: int | None


@dataclass(frozen=True, slots=True)
class StillOut:
    """A cow let out to a block and not seen at a box since its end, as far as the visits are known.

    `since_milking_h`: hours since her last whole milking (None: none is known), at the moment `known_until`.
    """

    cow: str
    block: str
    ended_at: int
    last_visit_at: int
    since_milking_h: float | None
    known_until: int


def sessions(plan: Sequence[GrazingPlan], start: int, end: int, zone: str) -> list[Session]:
    """The sessions that begin in [start, end], and those whose wire is due in it, in the order of their begin."""
    first, last = (datetime.fromtimestamp(x, ZoneInfo(zone)).date() for x in (start, end))
    planned = []
    for block in plan:
        for n in range(-1, (last - first).days + 3):
            session = _session(block, first + timedelta(days=n), zone)
            if session and (
                start <= session.begins <= end or (session.wire_due is not None and start <= session.wire_due <= end)
            ):
                planned.append(session)
    return sorted(planned, key=lambda s: (s.begins, natural_key(s.block.name)))


def _session(block: GrazingPlan, day: date, zone: str) -> Session | None:
    """A block's session that begins on a day; None if it is not grazed then."""
    if (block.first_day and day < block.first_day) or (block.last_day and day > block.last_day):
        return None
    begins = moment(day, _minute(block.begins), zone)
    over_midnight = block.ends <= block.begins
    ends = moment(day + timedelta(days=over_midnight), _minute(block.ends), zone)
    due = None
    if block.move_wire_before is not None:  # the last such time of day at or before the cows come
        eve = block.move_wire_before > block.begins
        due = moment(day - timedelta(days=eve), _minute(block.move_wire_before), zone)
    return Session(block, begins, ends, due)


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def still_out(tables: Tables, farm: Farm, at: int) -> tuple[StillOut, ...]:
    """The cows still out past the end of the block they were let out to, the longest unmilked first.

    A cow was let out to the block that was open at her last visit (of any outcome), else to the next one that opened
    after it. She is told from `out_after` past its end on, if the visits known by then have none of hers since, so a
    late export makes no cow look lost. Cows that are dry, gone, or unseen for four days are left out.
    """
    until = known_of("visits", tables.farm.feeds, at)
    if until is None or not farm.grazing:
        return ()
    plan = sessions(farm.grazing, until - KNOWN_FOR_S - DAY_S, until, farm.zone)
    groups, in_milk = _herd_at(tables, until)
    visits = tables.visits
    seen = _last_of(visits["cow"].to_numpy(object), visits["start"].to_numpy(np.int64), until)
    whole = (visits["outcome"] == "milked").to_numpy(bool)
    milked = _last_of(visits["cow"].to_numpy(object)[whole], visits["start"].to_numpy(np.int64)[whole], until)
    cows_out = []
    for cow, last in seen.items():
        if last <= until - KNOWN_FOR_S or not in_milk.get(cow, True):
            continue
        hers = next((s for s in plan if s.ends > last and _grazes(s.block, groups.get(cow))), None)
        if hers is not None and until >= hers.ends + hers.block.out_after:
            hours = (until - milked[cow]) / HOUR_S if cow in milked else None
            cows_out.append(StillOut(cow, hers.block.name, hers.ends, last, hours, until))
    return tuple(sorted(cows_out, key=lambda o: (-(np.inf if o.since_milking_h is None else o.since_milking_h), o.cow)))


def _grazes(block: GrazingPlan, group: str | None) -> bool:
    """Whether a cow of a group grazes a block; one whose group is not known may."""
    return not block.groups or group is None or group in block.groups


def _last_of(cows: np.ndarray, at: np.ndarray, until: int) -> dict[str, int]:
    """Each cow's latest moment up to `until`; the rows are in order of time."""
    end = int(np.searchsorted(at, until, side="right"))
    return {str(cow): int(moment) for cow, moment in zip(cows[:end], at[:end], strict=True)}


def _herd_at(tables: Tables, at: int) -> tuple[dict[str, str | None], dict[str, bool]]:
    """Each listed cow's group at a moment, and whether she is in milk then, as far as the list says."""
    changes = herd_changes(tables)
    now = changes[changes["from"].to_numpy(np.int64) <= at].drop_duplicates("cow", keep="last")
    groups = {str(c): g if isinstance(g, str) else None for c, g in zip(now["cow"], now["group"], strict=True)}
    cow_and_status = zip(now["cow"], now["status"], strict=True)
    return groups, {
        str(c): s in IN_MILK for c, s in cow_and_status if isinstance(s, str) and (s in IN_MILK or s in ("dry", GONE))
    }
