"""What is counted on a herd under hard conditions: every line is one number over another, so that herds add up.

Two ways are counted beside one another, on the same rows: the rules that ship, and plain bounds (`PLAIN`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.replay import Raised
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables
from sentinel.simulator import Simulated

from .baselines import Plain, computed, over
from .episodes import BOX_FAULTS, BOX_WINDOW_S, CLINICAL, SUBCLINICAL, UDDER, Episode, episodes
from .report import BOX_RULES, raised_by
from .score import (
    FAR,
    by_subject,
    detections,
    excused_by,
    false_alerts,
    first_suspect,
    quarter_milkings,
    rings_a_day,
    score_udders,
)

QUIET_S = 90 * 60
"""A box that stands still for less is not expected to be told (as in the truth)."""

Counts = Mapping[str, tuple[float, float]]
"""By line: how many, and of how many or per what."""


@dataclass(frozen=True, slots=True)
class Found:
    """A box fault and the alert that found it, and whether its first suspect is one of what was at fault there."""

    fault: Episode
    alert: Raised | Plain | None
    right: bool


def found_faults(faults: Sequence[Episode], alerts: Iterable[Raised | Plain]) -> list[Found]:
    """For each box fault its first alert within the window.

    Where two are at one box at once, an alert about the first that still stands as the second begins has found that,
    too: whoever goes there sees both. Right is then a suspect that is either of those that stand.
    """
    mine = by_subject(one for one in alerts if one.subject.startswith("box:"))
    found = []
    for fault in faults:
        others = [one for one in faults if one.subject == fault.subject and one is not fault]
        before = [one.start for one in others if one.start <= fault.start <= one.until]
        since = min(before, default=fault.start)
        alert = next(
            (
                one
                for one in mine.get(fault.subject, [])
                if since <= one.raised_at <= fault.find_by
                and (FAR if one.over_at is None else one.over_at) > fault.start
            ),
            None,
        )
        at = fault.start if alert is None else max(alert.raised_at, fault.start)
        at_fault = {one.suspect for one in (fault, *others) if one.start <= at <= one.until}
        found.append(Found(fault, alert, alert is not None and first_suspect(alert) in at_fault))
    return found


def box_counts(
    faults: Sequence[Episode],
    context: Sequence[Episode],
    alerts: Sequence[Raised | Plain],
    boxes: int,
    days: float,
) -> dict[str, tuple[float, float]]:
    """The lines about box faults; false alerts as `score.score_boxes` has them, per box-year."""
    counts: dict[str, tuple[float, float]] = {}
    found = found_faults(faults, alerts)
    for line, kind in (("arm", BOX_FAULTS[0]), ("optics", BOX_FAULTS[1])):
        of_kind = [one for one in found if one.fault.kind == kind]
        counts[line] = (sum(one.alert is not None for one in of_kind), len(of_kind))
    hits = [one for one in found if one.alert is not None]
    counts["box found"] = (len(hits), len(found))
    counts["right"] = (sum(one.right for one in hits), len(hits))
    counts["covered"] = (sum(_covered(one.alert) for one in hits), len(hits))
    mine = [one for one in alerts if one.subject.startswith("box:")]
    counts["box false"] = (len(false_alerts(mine, faults, excused_by(context))), boxes * days / 365.0)
    return counts


def _covered(alert: Raised | Plain | None) -> bool:
    """Whether an alert belongs to an incident of the whole herd, which holds it back."""
    founder = getattr(alert, "incident", None)
    return founder is not None and founder.rule == "herd-failures"


def newly_ill(udders: Sequence[Episode], alerts: Iterable[Raised | Plain]) -> dict[str, tuple[float, float]]:
    """Of the alerts on quarters those raised in a clinical or subclinical episode that began while the herd was
    watched; the same of those that rang, and of those that waited for the round."""
    mine = [one for one in alerts if one.subject.startswith("quarter:")]
    other = {id(one) for one in false_alerts(mine, [one for one in udders if one.kind in (CLINICAL, SUBCLINICAL)])}
    rang = [one for one in mine if one.urgency == "now"]
    waited = [one for one in mine if one.urgency != "now"]
    lines = {"newly ill": mine, "newly ill now": rang, "newly ill round": waited}
    return {line: (sum(id(one) not in other for one in some), len(some)) for line, some in lines.items()}


def herd_counts(
    disturbed: Sequence[Episode], alerts: Iterable[Raised | Plain], days: float
) -> dict[str, tuple[float, float]]:
    """Disturbances found within 12 h, while they last; alerts about the herd in no disturbance, per herd-year."""
    mine = [one for one in alerts if one.subject == "herd"]
    wanted = [replace(one, find_by=min(one.start + BOX_WINDOW_S, one.until)) for one in disturbed]
    found = sum(one.alert is not None for one in detections(wanted, mine))
    return {"herd": (found, len(wanted)), "herd false": (len(false_alerts(mine, disturbed)), days / 365.0)}


def quiet_counts(
    stops: Sequence[Episode], alerts: Iterable[Raised | Plain], boxes: int, days: float, every_s: int = HOUR_S
) -> dict[str, tuple[float, float]]:
    """Standstills of more than 90 min that were told by the first export after their end; false ones per box-year."""
    mine = list(alerts)
    wanted = [replace(one, find_by=one.until + every_s) for one in stops if one.until - one.start > QUIET_S]
    found = sum(one.alert is not None for one in detections(wanted, mine))
    told = [replace(one, until=one.until + every_s) for one in stops]
    return {"quiet": (found, len(wanted)), "quiet false": (len(false_alerts(mine, told)), boxes * days / 365.0)}


def yield_counts(
    tables: Tables, off: Sequence[Episode], ill: Sequence[Episode], alerts: Iterable[Raised | Plain]
) -> dict[str, tuple[float, float]]:
    """Planted drops found while they last; alerts on cows with neither a drop nor a clinical case, per 1,000 days of
    such cows in milk."""
    mine = list(alerts)
    found = sum(one.alert is not None for one in detections([replace(one, find_by=one.until) for one in off], mine))
    excused = [*off, *(replace(one, subject="cow:" + one.subject[8:-3]) for one in ill)]
    return {
        "yield": (found, len(off)),
        "yield false": (len(false_alerts(mine, excused)), healthy_days(tables, excused) / 1000.0),
    }


def healthy_days(tables: Tables, spells: Sequence[Episode]) -> int:
    """Days on which a cow was milked and in none of her spells."""
    visits = tables.visits
    milked = visits[visits["outcome"].isin(["milked", "incomplete"])]
    days = set(zip("cow:" + milked["cow"], milked["start"] // DAY_S, strict=True))
    last = int(milked["start"].max()) if len(milked) else 0
    for one in spells:
        until = min(one.until, last)
        days -= {(one.subject, day) for day in range(one.start // DAY_S, until // DAY_S + 1)}
    return len(days)


# --- plain bounds -------------------------------------------------------------------------------------------

PLAIN = (
    "a quarter 15 % over the mean of its last 14 readings; a box with 6 failures in 6 h; 12 % of the herd's tries of "
    "the last 6 h failed; a day's milk under 75 % of the mean of the seven days before"
)
"""Bounds as somebody would write them down first; the last two are our choice, no source."""


def plain_alerts(tables: Tables) -> dict[str, list[Plain]]:
    """The alerts of each plain bound."""
    rise = computed(tables, "conductivity_rise_pct", "quarter")
    failures = computed(tables, "failed_attachments", "box", within=6 * HOUR_S)
    return {
        "udder": over(rise, 15.0, "rise"),
        "boxes": over(failures, 5.5, "failures"),
        "herd": over(herd_failed_pct(tables), 12.0, "herd"),
        "yield": over(day_drop_pct(tables), 25.0, "drop"),
    }


def herd_failed_pct(tables: Tables, within_s: int = 6 * HOUR_S, fewest: int = 20) -> pd.DataFrame:
    """Per try the share of the herd's tries in the last hours that failed, in %; missing with few tries."""
    tried = tables.visits[tables.visits["outcome"].isin(["milked", "incomplete", "failed"])]
    at = tried["start"].to_numpy(np.int64)
    failed = np.append(0, np.cumsum((tried["outcome"] == "failed").to_numpy()))
    begin, end = np.searchsorted(at, at - within_s, side="right"), np.searchsorted(at, at, side="right")
    tries = end - begin
    share = 100.0 * (failed[end] - failed[begin]) / np.maximum(tries, 1)
    return pd.DataFrame({"subject": "herd", "at": at, "value": np.where(tries >= fewest, share, np.nan)})


def day_drop_pct(tables: Tables) -> pd.DataFrame:
    """Per cow and day, at its end, how far its milk is under the mean of her seven days before, in %."""
    visits = tables.visits
    milked = visits[visits["milk_kg"].notna()]
    day = milked["start"] // DAY_S
    kilos = milked.groupby([milked["cow"], day.rename("day")])["milk_kg"].sum().unstack("day")
    usual = kilos.T.rolling(7, min_periods=5).mean().shift(1).T
    drop = (100.0 * (1 - kilos / usual)).stack()
    cows, days = (drop.index.get_level_values(n) for n in (0, 1))
    frame = pd.DataFrame(
        {"subject": "cow:" + cows, "at": (days.to_numpy(np.int64) + 1) * DAY_S, "value": drop.to_numpy()}
    )
    return frame.sort_values(["subject", "at"], kind="stable", ignore_index=True)


# --- a whole herd -------------------------------------------------------------------------------------------


def counts_of(herd: Simulated, rules: Mapping[str, Rule]) -> dict[str, dict[str, tuple[float, float]]]:
    """All lines of one herd, by way: the rules given, and the plain bounds."""
    truth, days = herd.items, (herd.calendar.until - herd.calendar.begin) / DAY_S
    shipped = raised_by(dict(rules), herd)
    plain = plain_alerts(herd.tables)
    together = {rule.name: rule.together_s for rule in rules.values() if rule.together_s}

    def of(name: str) -> list[Raised]:
        return [one for one in shipped if one.rule == name]

    boxes = [one for one in shipped if one.rule in BOX_RULES]
    counts: dict[str, dict[str, tuple[float, float]]] = {
        "rules": {
            **scored(herd, shipped, boxes, of("herd-failures"), of("yield-drop")),
            **quiet_counts(_told(truth, "box-stopped"), of("box-quiet"), herd.spec.boxes, days, herd.exports.every_s),
            "rings": (rings_a_day(shipped, days, together) * days, days),
        },
        "plain": scored(herd, plain["udder"], plain["boxes"], plain["herd"], plain["yield"]),
    }
    return counts


def scored(
    herd: Simulated,
    udder: Sequence[Raised | Plain],
    boxes: Sequence[Raised | Plain],
    disturbed: Sequence[Raised | Plain],
    drops: Sequence[Raised | Plain],
) -> dict[str, tuple[float, float]]:
    """The lines that both ways have."""
    truth, days = herd.items, (herd.calendar.until - herd.calendar.begin) / DAY_S
    udders = episodes(truth, UDDER)
    score = score_udders(herd.tables, udders, udder, quarter_milkings(herd.tables, udders))
    context = episodes(truth, ("herd-disturbed", "cow-fails-everywhere"))
    clinical = [one for one in udders if one.kind == "udder-clinical"]
    return {
        "clinical": (score.found["udder-clinical"].hits, score.found["udder-clinical"].of),
        "subclinical": (score.found["udder-subclinical"].hits, score.found["udder-subclinical"].of),
        **newly_ill(udders, udder),
        "specific": (score.specific.hits, score.specific.of),
        "udder false": (score.false, score.milkings / 1000.0),
        **box_counts(episodes(truth, BOX_FAULTS), context, boxes, herd.spec.boxes, days),
        **herd_counts(_told(truth, "herd-disturbed"), disturbed, days),
        **yield_counts(herd.tables, _told(truth, "yield-drop"), clinical, drops),
    }


def _told(truth: Sequence[Mapping[str, object]], kind: str) -> list[Episode]:
    return episodes(truth, (kind,))


def added(every: Iterable[Counts]) -> dict[str, tuple[float, float]]:
    """Several herds together."""
    total: dict[str, tuple[float, float]] = {}
    for counts in every:
        for line, (number, per) in counts.items():
            so_far = total.get(line, (0.0, 0.0))
            total[line] = (so_far[0] + number, so_far[1] + per)
    return total
