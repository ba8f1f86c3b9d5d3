"""Until when each feed is known, and which are behind: a list must say so, or silence would look like all is well."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sentinel.flow.evaluation.quiet import quiet_after_s
from sentinel.flow.measures.system.health import FEED_QUIET_MIN
from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule
from sentinel.flow.tables import FeedFacts


@dataclass(frozen=True, slots=True)
class FeedLine:
    """Until when one feed is known; it is `behind` once `age_s` is over `due_s` (None: no rule watches it).

    `age_s` counts from the known-until, or from when sentinel began to watch. `alert` stands for its being behind.
    """

    feed: str
    known_until: int | None
    age_s: int
    due_s: int | None
    behind: bool
    alert: int | None


def feed_line(feed: FeedFacts, alerts: Iterable[Alert], rules: Mapping[str, Rule], at: int) -> FeedLine:
    """How far one feed is known, and whether it is behind: a rule says so, or its bound has been passed."""
    subject = f"feed:{feed.name}"
    stands = [a.id for a in alerts if a.standing and a.subject == subject and _watches(rules.get(a.rule))]
    heard = feed.heard_until
    age = max(0, at - (feed.watched_since if heard is None else heard))
    due = quiet_after_s(feed.name, feed.pace, rules, feed.quiet_least_s)
    behind = bool(stands) or (due is not None and age > due)
    return FeedLine(feed.name, feed.known_until, age, due, behind, min(stands, default=None))


def _watches(rule: Rule | None) -> bool:
    return rule is not None and rule.measure == FEED_QUIET_MIN.name
