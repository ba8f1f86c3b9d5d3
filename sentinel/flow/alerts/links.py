"""How one alert is linked to another: which may be the cause of which, given the farm's state at a moment."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from sentinel.flow.evaluation.known_until import known_by_table
from sentinel.flow.evaluation.quiet import leads, quiet_since
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.boxes.failures.failed_attachments import FAILED_ATTACHMENTS
from sentinel.flow.model import DAY_S, Subject, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import FarmFacts, Tables

USED_DAYS = 7
"""A cow uses the boxes she went to within this many days, up to where the visits are known."""


OF_BOX = frozenset({"arm", "optics", "unknown"})
"""Suspects of a box that it has by itself: a box alert that names one first stands beside one of the whole herd."""


@dataclass(frozen=True, slots=True)
class Links:
    """Which subjects an alert on one subject stands for: what covering needs to know of the farm.

    `boxes_of`: the boxes each cow used lately; `feeds_of`: the feeds each rule rests on; `leads`: for each quiet feed
    the one that stands for all that stopped with it. `failed_at`: of each cow the boxes at which she failed to attach
    in the last day, once for each time; `of_failures`: the rules that count such failures.
    """

    boxes_of: Mapping[str, frozenset[str]] = field(default_factory=dict)
    feeds_of: Mapping[str, frozenset[str]] = field(default_factory=dict)
    leads: Mapping[str, str] = field(default_factory=dict)
    failed_at: Mapping[str, Sequence[str]] = field(default_factory=dict)
    of_failures: frozenset[str] = frozenset()


class OfRuleAndSubject(Protocol):
    """What covering asks of an alert."""

    @property
    def rule(self) -> str:
        """The rule's name."""

    @property
    def subject(self) -> Subject:
        """What it is about."""

    @property
    def suspect(self) -> str:
        """The likeliest suspect that it was raised with, if it has one."""


def links_of(at: int, rules: Mapping[str, Rule], tables: Tables, farm: FarmFacts) -> Links:
    """Which boxes each cow used lately, and which feeds each rule rests on, at a moment; of a history no later rows."""
    visits = tables.visits
    until = min(at, known_by_table(farm.feeds).get("visits") or at)
    start = visits["start"].to_numpy(np.int64)
    begin, end = np.searchsorted(start, [until - USED_DAYS * DAY_S, at], side="right").tolist()
    boxes: dict[str, set[str]] = {}
    for cow, box in set(zip(visits["cow"].iloc[begin:end], visits["box"].iloc[begin:end], strict=True)):
        boxes.setdefault(str(cow), set()).add(box)
    # of a feed of which only one box's files stopped, what rests on the others goes on
    whole = [feed for feed in farm.feeds if len(feed.boxes) < 2 or quiet_since(feed, at) is not None]
    feeds = {
        name: frozenset(f.name for f in whole if set(f.tables) & set(measure_named(rule.measure).needs))
        for name, rule in rules.items()
    }
    of_failures = frozenset(n for n, rule in rules.items() if rule.measure == FAILED_ATTACHMENTS.name)
    lost: dict[str, list[str]] = {}
    if of_failures:
        begin = int(np.searchsorted(start, until - DAY_S, side="right"))
        day = visits.iloc[begin:end]
        for cow, box in day.loc[(day["outcome"] == "failed") & day["box"].notna(), ["cow", "box"]].itertuples(
            index=False
        ):
            lost.setdefault(str(cow), []).append(str(box))
    used = {cow: frozenset(those) for cow, those in boxes.items()}
    return Links(used, feeds, leads(farm.feeds, at), lost, of_failures)


def covers(cause: OfRuleAndSubject, alert: OfRuleAndSubject, names: Collection[str], links: Links) -> bool:
    """Whether a standing alert covers another one, whose rule is covered by those of these names."""
    return (cause.rule in names and touches(cause, alert, links)) or _leads(cause, alert, links)


def _leads(cause: OfRuleAndSubject, alert: OfRuleAndSubject, links: Links) -> bool:
    """Whether an alert on a quiet feed stands for another one's, as they stopped together."""
    if cause.rule != alert.rule or cause.subject == alert.subject or kind_of(alert.subject) != "feed":
        return False
    return links.leads.get(name_of(alert.subject)) == name_of(cause.subject)


def touches(cause: OfRuleAndSubject, alert: OfRuleAndSubject, links: Links) -> bool:
    """Whether a standing alert on a box, a feed or the herd can be the cause of an alert on another subject.

    One on the herd is not the cause of what a box does beyond the herd, and one on a box not of failures of a cow most
    of which were at other boxes.
    """
    kind, name = kind_of(cause.subject), name_of(cause.subject)
    name_of_subject = name_of(alert.subject)
    if kind == "herd":
        return not (kind_of(alert.subject) == "box" and alert.suspect in OF_BOX)
    if kind == "feed":
        rule = name_of_subject if kind_of(alert.subject) == "rule" else alert.rule
        return name in links.feeds_of.get(rule, frozenset())
    if kind == "box":
        match kind_of(alert.subject):
            case "box":
                return name_of_subject == name
            case "cow" if alert.rule in links.of_failures and name_of_subject in links.failed_at:
                lost = links.failed_at[name_of_subject]
                return 2 * lost.count(name) >= len(lost)
            case "cow" | "quarter":
                used = links.boxes_of.get(name_of_subject.partition("/")[0])
                return used is None or name in used
            case "chore":
                return name_of_subject.partition("/")[2] == name
            case _:
                return False
    return cause.subject == alert.subject
