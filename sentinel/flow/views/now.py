"""What is open now: first the feeds that are behind, then place by place, the most pressing first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sentinel.flow.model import Alert, Subject
from sentinel.flow.ordering import natural_key
from sentinel.flow.rules import URGENCIES, Rule
from sentinel.flow.schedule.feeds import FeedLine, feed_line
from sentinel.flow.schedule.sections import at_box
from sentinel.flow.settings.farm import Farm
from sentinel.flow.subjects import PLACES, place_of
from sentinel.flow.views.parts.links import Link, links_of
from sentinel.flow.views.parts.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class HeldBy:
    """The standing alert that holds another one back; `alert` is its number, None if it is not among those shown."""

    rule: str
    subject: Subject
    alert: int | None


@dataclass(frozen=True, slots=True)
class Line:
    """One standing alert in one line.

    `value` and `bound` are in `unit` (the rule's); `bound` is None where the rule is no longer known. `since` is the
    data's own moment, `raised_at` when it was decided or came again.
    """

    alert: int
    rule: str
    subject: Subject
    what: str
    place: str
    since: int
    raised_at: int
    urgency: str
    value: float | None
    bound: float | None
    unit: str
    answered_by: str
    answered_at: int | None
    finding: str
    held_by: tuple[HeldBy, ...]
    again: int
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """The lines at one place (the code of one of `PLACES`), the most pressing first; `pressing` of them cannot wait."""

    place: str
    lines: tuple[Line, ...]
    pressing: int


@dataclass(frozen=True, slots=True)
class NowPage:
    """Everything that stands at `at`. `quiet`: nothing stands and no feed is behind.

    `box_work` is the first place at which something is to be looked into at a box; empty if nothing is.
    """

    at: int
    behind: tuple[FeedLine, ...]
    groups: tuple[Group, ...]
    feeds: tuple[FeedLine, ...]
    quiet: bool
    box_work: str = ""


def now_page(snapshot: Snapshot) -> NowPage:
    """The page of what stands; an alert that is over is left out, one on a feed that is behind comes first."""
    rules, farm, at = snapshot.rules, snapshot.farm, snapshot.at
    feeds = snapshot.tables.farm.feeds
    standing = [alert for alert in snapshot.alerts if alert.standing]
    known = tuple(feed_line(feed, standing, rules, at) for feed in sorted(feeds, key=lambda f: natural_key(f.name)))
    behind = tuple(sorted((f for f in known if f.behind), key=lambda f: -f.age_s))
    told_above = {feed.alert for feed in behind}
    lines = [line_of(a, standing, rules, farm) for a in standing if a.listed and a.id not in told_above]
    groups = []
    for place in PLACES:
        here = sorted((line for line in lines if line.place == place.code), key=pressing_first)
        if here:
            groups.append(Group(place.code, tuple(here), sum(line.urgency == "now" for line in here)))
    work = (g.place for g in groups if any(at_box(line.subject, farm.boxes) for line in g.lines))
    return NowPage(at, behind, tuple(groups), known, not groups and not behind, next(work, ""))


def pressing_first(line: Line) -> tuple[object, ...]:
    """Sort key: what cannot wait, then what nobody has answered and nothing holds back, then the longest standing."""
    urgency = URGENCIES.index(line.urgency) if line.urgency in URGENCIES else len(URGENCIES)
    return urgency, bool(line.answered_by), bool(line.held_by), line.since, natural_key(line.subject), line.alert


def line_of(alert: Alert, others: Iterable[Alert], rules: Mapping[str, Rule], farm: Farm) -> Line:
    """One alert in one line; `others` are those that may hold it back."""
    rule = rules.get(alert.rule)
    bound = alert.facts.get("bound", rule.bound if rule else None)
    ids = {f"{other.rule} {other.subject}": other.id for other in others if other.standing}
    held = [HeldBy(*cause.partition(" ")[::2], ids.get(cause)) for cause in alert.covered_by]
    box = alert.facts.get("box") or alert.facts.get("of_box")
    return Line(
        alert.id,
        alert.rule,
        alert.subject,
        alert.text,
        place_of(alert.subject, farm.boxes).code,
        alert.since,
        alert.raised_at if alert.came_at is None else alert.came_at,
        alert.urgency,
        alert.value,
        float(bound) if isinstance(bound, int | float) else None,
        rule.unit if rule else "",
        alert.answered_by,
        alert.answered_at,
        alert.finding,
        tuple(held),
        alert.again,
        links_of(alert.subject, farm.boxes, box if isinstance(box, str) else ""),
    )
