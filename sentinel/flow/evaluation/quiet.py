"""When a feed counts as quiet, which feeds went quiet together, and what depends on data that has stopped.

What rests on data older than its feed's own bound is shown, never pushed: only the stopped feed is news.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sentinel.flow.evaluation.pace import Pace, pace_said
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.measures.system.health import FEED_QUIET_MIN
from sentinel.flow.model import DAY_S, State, Subject, Verdict
from sentinel.flow.ordering import natural_key
from sentinel.flow.rules import Rule
from sentinel.flow.subjects import PACES
from sentinel.flow.tables import COW_TESTS, TANK, FarmFacts, FeedFacts


def quiet_after_s(feed: str, pace: str, rules: Mapping[str, Rule], least_s: int = 0) -> int | None:
    """Seconds for which a feed may be silent by the strictest rule that watches it; None if none does.

    `least_s`: it may be silent for so long in any case, as that is how it comes.
    """
    bounds = [
        _bound_min(rule, {"feed": feed, "pace": pace}) for rule in rules.values() if rule.measure == FEED_QUIET_MIN.name
    ]
    return min((max(round(60 * bound), least_s) for bound in bounds if bound is not None), default=None)


def at_pace(feed: FeedFacts, pace: Pace | None, rules: Mapping[str, Rule]) -> FeedFacts:
    """A feed that comes at a pace, with the silence after which it counts as quiet; of None nothing more is known.

    What is learned makes no feed come more often than its kind does: a herd's calvings may well be daily for a month.
    """
    if pace is None:
        return replace(feed, quiet_after_s=quiet_after_s(feed.name, feed.pace, rules))
    word = max(pace.word, feed.pace, key=PACES.index) if feed.learns else pace.word
    after_s = quiet_after_s(feed.name, word, rules, pace.quiet_least_s)
    return replace(feed, pace=word, every_s=pace.every_s, quiet_least_s=pace.quiet_least_s, quiet_after_s=after_s)


RESULTS = (COW_TESTS.name, TANK.name)
"""The tables of what a laboratory tells days after it was sampled."""


def tells_results(feed: FeedFacts) -> bool:
    """Whether a feed tells test results and nothing else."""
    tables = {name for name in feed.tables if "." not in name}
    return bool(tables) and tables <= set(RESULTS) and f"{TANK.name}.temperature_C" not in feed.tables


def with_lag(feed: FeedFacts, lag_s: int) -> FeedFacts:
    """A feed of test results of which what it brings is so old when it comes: it may be silent for so much longer.

    Such a feed is known up to its newest sample, as of what was sampled since nothing is known. Its files are in time
    all the same while they come as often as they should. No other feed is told the later for coming late.
    """
    if not tells_results(feed) or feed.quiet_after_s is None or not lag_s:
        return feed
    after_s = feed.quiet_after_s + lag_s
    if (
        feed.learns and feed.every_s is not None
    ):  # waits that were learned hold what files took to come, if not too long
        after_s = max(feed.quiet_after_s, pace_said(feed.every_s).quiet_least_s + lag_s)
    return replace(feed, quiet_after_s=after_s, quiet_least_s=after_s)


def _bound_min(rule: Rule, known: Mapping[str, str]) -> float | None:
    """The bound of a rule on quiet feeds for one feed, in minutes; None if the rule does not watch it."""
    if not _fits(rule.where, known):
        return None
    bound_of_class = next((one.raise_over for one in rule.classes if _fits(one.where, known)), None)
    return rule.raise_over if bound_of_class is None else bound_of_class


def _fits(where: Mapping[str, tuple[str | float | bool, ...]], known: Mapping[str, str]) -> bool:
    return all(known.get(name) in wanted for name, wanted in where.items())


def quiet_since(feed: FeedFacts, at: int) -> int | None:
    """Up to when a quiet feed is heard of, or since when it is watched in vain; None if it is not quiet at `at`."""
    heard = feed.heard_until
    known = feed.watched_since if heard is None else heard
    return known if feed.quiet_after_s is not None and at - known > feed.quiet_after_s else None


def leads(feeds: Sequence[FeedFacts], at: int) -> dict[str, str]:
    """For each quiet feed the feed that stands for all that stopped with it: the one that was quiet first.

    Two feeds stopped together if the one still gave no rows when the other was already quiet, or if both had been quiet
    before sentinel began to watch.
    """
    quiet = []
    for feed in feeds:
        known = quiet_since(feed, at)
        if known is not None and feed.quiet_after_s is not None:
            quiet.append((known + feed.quiet_after_s, natural_key(feed.name), feed, known))
    lead_of: dict[str, str] = {}
    first: list[tuple[int, FeedFacts]] = []
    for due, _, feed, known in sorted(quiet, key=lambda one: one[:2]):
        lead = next((one for noticed, one in first if known <= noticed or due <= feed.watched_since), feed)
        if lead is feed:
            first.append((due, feed))
        lead_of[feed.name] = lead.name
    return lead_of


def old_since(measure: Measure, farm: FarmFacts, at: int) -> int | None:
    """Up to when the data comes that a measure rests on, if one of its feeds is quiet; None if all are fresh."""
    stopped = (quiet_since(feed, at) for feed in farm.feeds if set(measure.needs) & set(feed.tables))
    return min((moment for moment in stopped if moment is not None), default=None)


def no_news(judgement: Judgement, measure: Measure, farm: FarmFacts, at: int) -> Judgement:
    """The same verdicts, of which none presses that rests on data that has stopped; it says up to when that comes.

    Neither does a reading that was old when sentinel began to watch, whatever its feed gives today; of the day before
    that it stands on the list of the next round, as it may well be the newest of its cow.
    """
    stopped = old_since(measure, farm, at)
    feeds = [feed for feed in farm.feeds if set(measure.needs) & set(feed.tables)]
    bounds = [feed.quiet_after_s for feed in feeds if feed.quiet_after_s is not None]
    begun = farm.watched_since - max(bounds, default=0)

    def of(verdict: Verdict) -> Verdict:
        read_at = verdict.facts.get("reading_at") if judgement.sampled and bounds else None
        early_s = 0 if read_at is None else begun - read_at
        since = read_at if early_s > DAY_S else stopped
        if verdict.state is not State.HOLDS or (since is None and early_s <= 0):
            return verdict
        facts = verdict.facts if since is None else {**verdict.facts, "old_since": since}
        return replace(verdict, urgency="round" if verdict.urgency == "now" else verdict.urgency, facts=facts)

    if stopped is None and not (judgement.sampled and bounds):
        return judgement
    return replace(judgement, verdicts=tuple(of(verdict) for verdict in judgement.verdicts))


def with_it(subject: Subject, lead_of: Mapping[str, str]) -> tuple[str, ...]:
    """The other feeds that the alert on a quiet feed stands for."""
    own_name = subject.partition(":")[2]
    return tuple(name for name, lead in lead_of.items() if lead == own_name and name != own_name)
