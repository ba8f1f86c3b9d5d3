"""Two readings of one history beside each other: what only one of them raises, and how much earlier or later it tells.

Two alerts are the same trouble told twice if they are of one rule and subject and stand at the same time.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from statistics import median
from typing import Literal

from sentinel.flow.alerts.incidents import place_of_trouble
from sentinel.flow.model import Subject
from sentinel.flow.ordering import in_order
from sentinel.flow.replay import Founder, Raised
from sentinel.flow.schedule.days import date_of
from sentinel.flow.tuning.episodes import stand_together

How = Literal["new", "missed", "earlier", "later", "same"]
By = Literal["rule", "week", "subject"]


@dataclass(frozen=True, slots=True)
class Change:
    """One alert in two readings of history; `before` or `after` is None where only the other reading has it.

    `later_s`: so many seconds later it is raised than before, negative if earlier.
    """

    before: Raised | None
    after: Raised | None
    later_s: int = 0

    @property
    def one(self) -> Raised:
        """The alert as it is now, or as it was."""
        found = self.after if self.after is not None else self.before
        assert found is not None
        return found

    @property
    def how(self) -> How:
        """What became of it."""
        if self.before is None:
            return "new"
        if self.after is None:
            return "missed"
        return "same" if not self.later_s else "later" if self.later_s > 0 else "earlier"


@dataclass(frozen=True, slots=True)
class Ring:
    """One time that a phone would ring: the alert that rings, the first of its trouble that could not wait.

    Whoever is told can be reached, nobody answers before, and nothing is too much in an hour: hours, answers, ceilings
    and what comes together in one notice make fewer of them.
    """

    at: int
    rule: str
    subject: Subject


@dataclass(frozen=True, slots=True)
class Counted:
    """What one rule, week or subject (`name`) came to: alerts, the incidents that they founded, times that it rang.

    Beside another reading: how many alerts are `new`, were `missed` (only the other one has them), are told `earlier`
    or `later`, and by how many seconds in the middle (0 if none is).
    """

    name: str
    alerts: int
    incidents: int
    rings: int
    alerts_before: int = 0
    incidents_before: int = 0
    rings_before: int = 0
    new: int = 0
    missed: int = 0
    earlier: int = 0
    later: int = 0
    earlier_s: float = 0.0
    later_s: float = 0.0


def within(raised: Iterable[Raised], since: int | None, until: int | None) -> list[Raised]:
    """The alerts that were raised from `since` on and before `until`."""
    return [
        one for one in raised if (since is None or one.raised_at >= since) and (until is None or one.raised_at < until)
    ]


def changes(before: Iterable[Raised], after: Iterable[Raised]) -> list[Change]:
    """Every alert of two readings of one history, those that are the same trouble as one; in order of time."""
    pairs: dict[tuple[str, Subject], tuple[list[Raised], list[Raised]]] = defaultdict(lambda: ([], []))
    for place, some in enumerate((before, after)):
        for alert in some:
            pairs[alert.rule, alert.subject][place].append(alert)
    found = [change for was, is_now in pairs.values() for change in _of_one(was, is_now)]
    order = {subject: n for n, subject in enumerate(in_order({change.one.subject for change in found}))}
    return sorted(found, key=lambda change: (change.one.raised_at, change.one.rule, order[change.one.subject]))


def _of_one(before: Sequence[Raised], after: Sequence[Raised]) -> list[Change]:
    """The same of one rule and subject: each of one reading with the first of the other that stands when it does.

    Where one alert stands for several of the other reading, only the first of these says how much earlier it is.
    """
    found = []
    taken: set[int] = set()
    for was in before:
        together = [n for n, one in enumerate(after) if stand_together(was, one)]
        if not together:
            found.append(Change(was, None))
            continue
        first = together[0]
        moved_s = 0 if first in taken else after[first].raised_at - was.raised_at
        taken |= set(together)
        found.append(Change(was, after[first], moved_s))
    found += [Change(None, one) for n, one in enumerate(after) if n not in taken]
    return found


def rings(raised: Iterable[Raised]) -> list[Ring]:
    """The times that a phone would ring, in order: once for all that one incident is at one place."""
    first: dict[tuple[Founder | Raised, Subject], Raised] = {}
    for alert in raised:
        if alert.rings_at is None:
            continue
        trouble = (alert.incident or alert, place_of_trouble(alert.subject))
        earliest = first.get(trouble)
        if earliest is None or (earliest.rings_at or 0) > alert.rings_at:
            first[trouble] = alert
    return sorted(
        (Ring(one.rings_at or 0, one.rule, one.subject) for one in first.values()),
        key=lambda ring: (ring.at, ring.rule, ring.subject),
    )


def counted(
    after: Sequence[Raised], before: Sequence[Raised] | None, by: By, zone: str, names: Sequence[str] = ()
) -> list[Counted]:
    """What two readings of one history come to, by rule, week or subject; without `before` only the one.

    `names`: those that have a line even if nothing was raised.
    """
    name = _named(by, zone)
    alike: dict[str, list[Change]] = defaultdict(list)
    for change in changes(before, after) if before is not None else ():
        alike[name(change.one.rule, change.one.subject, change.one.raised_at)].append(change)
    now, was = _counts(after, name), _counts(before or (), name)
    found = {*names, *now, *was, *alike}
    sorted_names = list(names) if by == "rule" else []
    sorted_names += [one for one in (in_order(found) if by == "subject" else sorted(found)) if one not in sorted_names]
    nothing = (0, 0, 0)
    return [_line(one, now.get(one, nothing), was.get(one, nothing), alike.get(one, ())) for one in sorted_names]


def _line(name: str, now: tuple[int, int, int], was: tuple[int, int, int], changed: Sequence[Change]) -> Counted:
    """One line of the counts."""
    moved: Mapping[str, list[int]] = {
        how: [abs(change.later_s) for change in changed if change.how == how] for how in ("earlier", "later")
    }
    return Counted(
        name,
        *now,
        *was,
        new=sum(change.how == "new" for change in changed),
        missed=sum(change.how == "missed" for change in changed),
        earlier=len(moved["earlier"]),
        later=len(moved["later"]),
        earlier_s=float(median(moved["earlier"])) if moved["earlier"] else 0.0,
        later_s=float(median(moved["later"])) if moved["later"] else 0.0,
    )


def _counts(raised: Sequence[Raised], name: Callable[[str, Subject, int], str]) -> dict[str, tuple[int, int, int]]:
    """Per name its alerts, the incidents that they founded, and the times that it rang."""
    found: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    for alert in raised:
        found[name(alert.rule, alert.subject, alert.raised_at)][0] += 1
    for founder in {one.incident or Founder(one.rule, one.subject, one.raised_at) for one in raised}:
        found[name(founder.rule, founder.subject, founder.raised_at)][1] += 1
    for ring in rings(raised):
        found[name(ring.rule, ring.subject, ring.at)][2] += 1
    return {one: (counts[0], counts[1], counts[2]) for one, counts in found.items()}


def _named(by: By, zone: str) -> Callable[[str, Subject, int], str]:
    """By what an alert is counted: its rule, its subject, or the Monday of its week on the farm's calendar."""

    def week(rule: str, subject: Subject, at: int) -> str:
        day = date_of(at, zone)
        return (day - timedelta(days=day.weekday())).isoformat()

    return {"rule": lambda rule, subject, at: rule, "subject": lambda rule, subject, at: subject, "week": week}[by]
