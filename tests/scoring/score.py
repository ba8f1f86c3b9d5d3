"""How good alerts are, measured against what is true. Every definition is in a docstring; none is kinder than it says.

An *alert* is anything with `rule`, `subject`, `raised_at`, `over_at`, `urgency` (as `sentinel.flow.replay.Raised`); if
it has `suspects`, the first of them is compared with the truth.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt
from typing import Any, Protocol

import numpy as np
import pandas as pd

from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import Tables, wide

from .episodes import Episode

FAR = 1 << 60


class Alert(Protocol):
    """What a scorer asks of an alert."""

    @property
    def rule(self) -> str: ...
    @property
    def subject(self) -> str: ...
    @property
    def raised_at(self) -> int: ...
    @property
    def over_at(self) -> int | None: ...
    @property
    def urgency(self) -> str: ...
    @property
    def incident(self) -> object: ...


@dataclass(frozen=True, slots=True)
class Detection:
    """One episode and the first alert that found it: hours from the onset, and its first suspect; None if not found."""

    episode: Episode
    alert: Any | None
    hours: float | None
    suspect: str | None


def by_subject(alerts: Iterable[Alert]) -> dict[str, list[Alert]]:
    """The alerts of each subject in order of time."""
    found: dict[str, list[Alert]] = defaultdict(list)
    for alert in sorted(alerts, key=lambda one: one.raised_at):
        found[alert.subject].append(alert)
    return dict(found)


def detections(episodes: Sequence[Episode], alerts: Iterable[Alert]) -> list[Detection]:
    """For each episode the first alert of its subject raised from its start on and by the end of its window.

    An alert raised before the episode began does not find it, even if it still stands. Hours count from the onset
    and are negative if a fault that grows was found before it was half grown.
    """
    mine = by_subject(alerts)
    found = []
    for one in episodes:
        first = next((a for a in mine.get(one.subject, []) if one.start <= a.raised_at <= one.find_by), None)
        hours = None if first is None else (first.raised_at - one.onset) / 3600
        found.append(Detection(one, first, hours, None if first is None else first_suspect(first)))
    return found


def first_suspect(alert: Any) -> str | None:
    """The first suspect's name, or None if the alert names none."""
    suspects = getattr(alert, "suspects", None) or ()
    if not suspects:
        return None
    first = suspects[0]
    return str(first["name"] if isinstance(first, Mapping) else getattr(first, "name", first))


def false_alerts(
    alerts: Iterable[Alert],
    episodes: Sequence[Episode],
    excused: Callable[[Alert], bool] = lambda alert: False,
) -> list[Alert]:
    """The alerts raised while no episode of their subject was going on.

    `episodes` are all that could be meant by such an alert, also those that are not scored (a short spike is no
    false alarm). An alert that is raised after an episode has ended is false, however shortly after.
    """
    spans: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for one in episodes:
        spans[one.subject].append((one.start, one.until))
    return [
        alert
        for alert in alerts
        if not any(start <= alert.raised_at <= until for start, until in spans[alert.subject]) and not excused(alert)
    ]


def excused_by(context: Sequence[Episode]) -> Callable[[Alert], bool]:
    """Excuses a box alert that names as its first suspect what really upset the box: the herd, or a cow.

    `context` are the herd's disturbed hours and the spells of cows that fail anywhere. An alert that names no suspect,
    or the wrong one, is excused by nothing.
    """

    def excused(alert: Alert) -> bool:
        name = first_suspect(alert)
        return name is not None and any(
            one.suspect == name and one.start <= alert.raised_at <= one.until for one in context
        )

    return excused


@dataclass(frozen=True, slots=True)
class QuarterMilkings:
    """Every reading of a quarter's conductivity at a milking, by quarter, then time.

    `healthy`: no episode of that quarter was going on. `after` is the quarter's next reading.
    """

    subject: np.ndarray
    at: np.ndarray
    after: np.ndarray
    healthy: np.ndarray
    rows_of: dict[str, slice] = field(repr=False)


def quarter_milkings(tables: Tables, episodes: Sequence[Episode]) -> QuarterMilkings:
    """The readings of all visits; those within any episode of their quarter, of whatever kind, are not healthy."""
    visits = tables.visits
    read = visits[wide("conductivity_mS_cm")].notna().to_numpy()
    row, quarter = np.nonzero(read)
    frame = pd.DataFrame(
        {
            "cow": visits["cow"].to_numpy(object)[row],
            "quarter": np.array(QUARTERS, dtype=object)[quarter],
            "at": visits["start"].to_numpy(np.int64)[row],
        }
    ).sort_values(["cow", "quarter", "at"], kind="stable", ignore_index=True)
    subject = ("quarter:" + frame["cow"] + "/" + frame["quarter"]).to_numpy(object)
    at = frame["at"].to_numpy(np.int64)
    first = np.flatnonzero(np.append(True, subject[1:] != subject[:-1])) if len(subject) else np.empty(0, np.int64)
    rows_of = {
        str(subject[a]): slice(int(a), int(b)) for a, b in zip(first, np.append(first[1:], len(at)), strict=True)
    }
    after = np.full(len(at), FAR)
    healthy = np.ones(len(at), dtype=bool)
    for rows in rows_of.values():
        after[rows.start : rows.stop - 1] = at[rows.start + 1 : rows.stop]
    for one in episodes:
        rows = rows_of.get(one.subject, slice(0, 0))
        healthy[rows] &= (at[rows] < one.start) | (at[rows] > one.until)
    return QuarterMilkings(subject, at, after, healthy, rows_of)


def flagged(milkings: QuarterMilkings, alerts: Iterable[Alert]) -> np.ndarray:
    """Which quarter milkings were called abnormal: an alert of the quarter stood when its next milking began.

    So a milking counts by the verdict that it led to, even if its export came an hour later; an alert that stands for
    many milkings makes each of them abnormal.
    """
    abnormal = np.zeros(len(milkings.at), dtype=bool)
    for alert in alerts:
        rows = milkings.rows_of.get(alert.subject, slice(0, 0))
        until = FAR if alert.over_at is None else alert.over_at
        # the alert stands just before the next milking: raised by then, and not yet over
        stood = (milkings.after[rows] > alert.raised_at) & (np.minimum(milkings.after[rows], FAR - 1) <= until)
        abnormal[rows] |= stood
    return abnormal


def cow_milkings(tables: Tables) -> int:
    """Visits that gave milk: `milked` or `incomplete`."""
    return int(tables.visits["outcome"].isin(["milked", "incomplete"]).sum())


@dataclass(frozen=True, slots=True)
class Share:
    """A share with what it was counted from."""

    hits: int
    of: int

    @property
    def value(self) -> float:
        """The share itself; NaN if there was nothing to count."""
        return self.hits / self.of if self.of else float("nan")

    def limits(self, z: float = 1.96) -> tuple[float, float]:
        """95 % limits by Wilson's score (Wilson 1927, J Am Stat Assoc 22:209; from memory).

        >>> [round(x, 3) for x in Share(81, 100).limits()]
        [0.722, 0.875]
        """
        if not self.of:
            return 0.0, 1.0
        n, p = self.of, self.value
        middle, half = p + z * z / (2 * n), z * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        low, high = (middle - half) / (1 + z * z / n), (middle + half) / (1 + z * z / n)
        return max(low, 0.0), min(high, 1.0)

    def __add__(self, other: Share) -> Share:
        """The share over both."""
        return Share(self.hits + other.hits, self.of + other.of)


@dataclass(frozen=True, slots=True)
class UdderScore:
    """How well udder alerts did on one herd.

    `found`: per kind of episode, found of all. `usual`: of the clinical ones those that rise as usual. `specific`:
    healthy quarter milkings not flagged, of all healthy ones. `false` per `milkings` (cow milkings). `hours`: from
    onset, of the clinical episodes found.
    """

    found: dict[str, Share]
    specific: Share
    false: int
    milkings: int
    hours: tuple[float, ...]

    def __add__(self, other: UdderScore) -> UdderScore:
        """Both herds together."""
        found = {kind: share + other.found[kind] for kind, share in self.found.items()}
        return UdderScore(
            found,
            self.specific + other.specific,
            self.false + other.false,
            self.milkings + other.milkings,
            self.hours + other.hours,
        )

    @property
    def false_per_1000(self) -> float:
        """False udder alerts per 1,000 cow milkings."""
        return 1000 * self.false / max(self.milkings, 1)


def score_udders(
    tables: Tables, episodes: Sequence[Episode], alerts: Sequence[Alert], milkings: QuarterMilkings | None = None
) -> UdderScore:
    """Alerts about quarters against the udder episodes of one herd; `milkings` saves working them out again."""
    milkings = milkings or quarter_milkings(tables, episodes)
    mine = [a for a in alerts if a.subject.startswith("quarter:")]
    found = detections(episodes, mine)
    shares = {}
    for kind in ("udder-clinical", "udder-subclinical", "udder-spike"):
        of = [d for d in found if d.episode.kind == kind]
        shares[kind] = Share(sum(d.alert is not None for d in of), len(of))
    usual = [d for d in found if d.episode.kind == "udder-clinical" and d.episode.shape == "usual"]
    shares["clinical that rise"] = Share(sum(d.alert is not None for d in usual), len(usual))
    quiet = ~flagged(milkings, mine) & milkings.healthy
    hours = tuple(d.hours for d in found if d.episode.kind == "udder-clinical" and d.hours is not None)
    return UdderScore(
        shares,
        Share(int(quiet.sum()), int(milkings.healthy.sum())),
        len(false_alerts(mine, episodes)),
        cow_milkings(tables),
        hours,
    )


@dataclass(frozen=True, slots=True)
class BoxScore:
    """How well box alerts did on one herd: faults found of all per kind, first suspects right of faults found,
    false alerts over `box_years`, and hours from onset."""

    found: dict[str, Share]
    right: Share
    false: int
    box_years: float
    hours: tuple[float, ...]

    def __add__(self, other: BoxScore) -> BoxScore:
        """Both herds together."""
        found = {kind: share + other.found[kind] for kind, share in self.found.items()}
        return BoxScore(
            found,
            self.right + other.right,
            self.false + other.false,
            self.box_years + other.box_years,
            self.hours + other.hours,
        )

    @property
    def all_found(self) -> Share:
        """Faults of any kind."""
        return sum(self.found.values(), Share(0, 0))


def score_boxes(
    episodes: Sequence[Episode], context: Sequence[Episode], alerts: Sequence[Alert], boxes: int, days: float
) -> BoxScore:
    """Alerts about boxes against the box faults of one herd; `context` as in `excused_by`.

    Right is the first suspect of the *first* alert that found the fault; an alert that names none is not right.
    """
    mine = [a for a in alerts if a.subject.startswith("box:")]
    found = detections(episodes, mine)
    shares = {}
    for kind in ("arm-out-of-line", "optics-fouled"):
        of = [d for d in found if d.episode.kind == kind]
        shares[kind] = Share(sum(d.alert is not None for d in of), len(of))
    hits = [d for d in found if d.alert is not None]
    right = Share(sum(d.suspect == d.episode.suspect for d in hits), len(hits))
    false = false_alerts(mine, episodes, excused_by(context))
    hours = tuple(d.hours for d in hits if d.hours is not None)
    return BoxScore(shares, right, len(false), boxes * days / 365.0, hours)


def pushes_a_day(alerts: Iterable[Alert], days: float) -> float:
    """Alerts that became `now`, per day: what rang the phone at once, before reminders and before covering."""
    return sum(a.urgency == "now" for a in alerts) / days


def rings_a_day(alerts: Iterable[Alert], days: float, together: Mapping[str, int] = {}) -> float:
    """Incidents with an alert that became `now`, per day: one trouble rings once, before reminders.

    `together`: per rule the seconds within which those that follow come in one notice. They are taken to have become
    `now` as long after they were raised as the first of them, which for cows late to be milked is so.
    """
    pressing = [a for a in alerts if a.urgency == "now"]
    rings = len({a.incident for a in pressing if not together.get(a.rule)})
    for rule, within_s in together.items():
        rung_at = waits_until = -FAR
        for alert in sorted((a for a in pressing if a.rule == rule and within_s), key=lambda a: a.raised_at):
            if alert.raised_at <= waits_until:
                continue  # it comes with those that wait
            if alert.raised_at < rung_at + within_s:
                rung_at = waits_until = rung_at + within_s
            else:
                rung_at = alert.raised_at
            rings += 1
    return rings / days


def late_by_an_outage(
    alerts: Iterable[Alert], on_time: Iterable[Alert], outages: Sequence[tuple[int, int]], every_s: int = 3600
) -> list[Alert]:
    """Alerts that only an export outage can have caused; `alerts` were raised with the outages, `on_time` without.

    Counted is an alert raised from the beginning of an outage until the export after it, if with exports on time
    nothing of the same rule and subject stood between that beginning (and one export before it) and that moment.
    """
    stood: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
    for one in on_time:
        stood[one.rule, one.subject].append((one.raised_at, FAR if one.over_at is None else one.over_at))
    caused = []
    for alert in alerts:
        for start, until in outages:
            inside = start <= alert.raised_at <= until + every_s
            spans = stood[alert.rule, alert.subject]
            if inside and not any(a <= alert.raised_at and b >= start - every_s for a, b in spans):
                caused.append(alert)
    return caused
