"""Quiet feeds: from when, which stopped together, and what that makes of the alerts that rest on them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment

from sentinel.flow.evaluation.quiet import leads, no_news, quiet_after_s, with_it, with_lag
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.measures import measure_named
from sentinel.flow.model import HOUR_S, State, Verdict
from sentinel.flow.rules import load_rules
from sentinel.flow.tables import FarmFacts, FeedFacts

RULES = """
- rule: feed-quiet
  measure: feed_quiet_min
  raise_over: 90 min
  classes:
    - where: {feed: yard}
      raise_over: 30 min
    - where: {pace: daily}
      raise_over: 26 h
  urgency: round
  say: "{feed}: {value}"
- rule: some-feeds
  measure: feed_quiet_min
  where: {feed: tank}
  raise_over: 10 h
  urgency: log
  say: "{feed}: {value}"
"""


@pytest.mark.parametrize(
    ("feed", "pace", "minutes"),
    [("visits", "hourly", 90), ("herd", "daily", 26 * 60), ("yard", "daily", 30), ("tank", "daily", 600)],
)
def test_the_strictest_rule_that_watches_a_feed_says_when_it_is_quiet(feed: str, pace: str, minutes: int) -> None:
    """The first class that fits counts, and a rule for other feeds does not."""
    rules, problems = load_rules(RULES, "rules/feeds.yaml")
    assert problems == []
    assert quiet_after_s(feed, pace, {rule.name: rule for rule in rules}) == 60 * minutes


def test_without_a_rule_no_feed_is_ever_quiet() -> None:
    """A farm that took the rule out wants to hear nothing of it."""
    assert quiet_after_s("visits", "hourly", {}) is None


def feed(name: str, known: str | None, hours: float = 1.5, tables: tuple[str, ...] = ("visits",)) -> FeedFacts:
    """A feed known until a moment, quiet after so many hours."""
    until = None if known is None else moment(known)
    return FeedFacts(name, tables, "hourly", until, moment("00:00"), round(hours * HOUR_S))


def test_feeds_that_stop_together_have_one_that_stands_for_them() -> None:
    """The one that is quiet first; a daily feed that was in order when the others stopped belongs to them."""
    feeds = (
        feed("visits", "10:05"),
        feed("boxlog", "09:50"),
        feed("herd", "06:00", hours=26),
        feed("tank", "09:00", 9),
    )

    assert leads(feeds, moment("11:30")) == {"boxlog": "boxlog"}
    assert leads(feeds, moment("12:00")) == {"boxlog": "boxlog", "visits": "boxlog"}
    late = leads(feeds, moment("1d09:00"))
    assert late == {"boxlog": "boxlog", "visits": "boxlog", "tank": "boxlog", "herd": "boxlog"}
    assert with_it("feed:boxlog", late) == ("visits", "tank", "herd")
    assert with_it("feed:visits", late) == ()


def test_a_feed_that_went_on_after_another_had_stopped_is_a_trouble_of_its_own() -> None:
    """Visits came until the evening, when the box log had been quiet since noon."""
    feeds = (feed("boxlog", "12:00"), feed("visits", "20:00"), feed("parlour", "20:10"))

    assert leads(feeds, moment("1d00:00")) == {"boxlog": "boxlog", "visits": "visits", "parlour": "visits"}


def holds(urgency: str = "now", **facts: int) -> Judgement:
    """A verdict that holds."""
    return Judgement((Verdict("r", "cow:7", State.HOLDS, 1.0, 0, urgency, facts),), sampled="reading_at" in facts)


@pytest.mark.parametrize(
    ("known", "at", "urgency", "old"),
    [
        ("10:00", "11:30", "now", None),
        ("10:00", "11:31", "round", "10:00"),
        ("10:00", "30d11:31", "round", "10:00"),
        (None, "02:00", "round", "00:00"),
    ],
)
def test_nothing_presses_that_rests_on_data_that_has_stopped(
    known: str | None, at: str, urgency: str, old: str | None
) -> None:
    """It is shown with the moment up to which the data comes."""
    farm = FarmFacts(feeds=(feed("visits", known), feed("tank", "00:00", tables=("tank",))))
    [found] = no_news(holds(), measure_named("hours_since_milking"), farm, moment(at)).verdicts

    assert found.urgency == urgency
    assert found.facts.get("old_since") == (None if old is None else moment(old))


def test_what_was_old_when_watching_began_is_no_news_although_its_feed_is_fresh() -> None:
    """A quarter's last reading of three weeks before the first start; one of the hour before is.

    One of that morning does not ring either, but is on the list of the next round.
    """
    farm = FarmFacts(feeds=(feed("visits", "20d12:00"),), watched_since=moment("20d12:00"))
    measure, at = measure_named("udder_evidence"), moment("20d12:01")
    moments = moment("00:00"), moment("20d06:00"), moment("20d11:00")
    found = [no_news(holds(reading_at=m), measure, farm, at).verdicts[0] for m in moments]

    assert [one.urgency for one in found] == ["round", "round", "now"]
    assert ["old_since" in one.facts for one in found] == [True, False, False]


def test_a_farm_that_watches_no_feed_has_no_old_news() -> None:
    """Nothing says after how long its data is old, so its first export is news whatever it holds."""
    farm = FarmFacts(
        feeds=(FeedFacts("visits", ("visits",), known_until=moment("10:00")),), watched_since=moment("10:01")
    )
    found = no_news(holds(reading_at=moment("09:00")), measure_named("udder_evidence"), farm, moment("10:01"))
    assert found.verdicts[0].urgency == "now"


def test_what_rests_on_no_feed_is_always_news() -> None:
    """That a feed is quiet, a notice not delivered, a file not read."""
    farm = FarmFacts(feeds=(feed("visits", "00:00"),))
    assert no_news(holds(), measure_named("feed_quiet_min"), farm, moment("9d00:00")) == holds()


RESULTS = FeedFacts("lab", ("cow_tests", "cow_tests.cells_k_ml"), "daily", 0, 0, 26 * HOUR_S)


@pytest.mark.parametrize(
    ("feed", "after_h"),
    [
        (RESULTS, 26 + 96),
        (replace(RESULTS, tables=("tank", "tank.cells_k_ml")), 26 + 96),
        (replace(RESULTS, every_s=48 * HOUR_S, quiet_least_s=50 * HOUR_S, quiet_after_s=50 * HOUR_S), 50 + 96),
        # learned: the wait of six days holds what the files took
        (replace(RESULTS, learns=True, every_s=48 * HOUR_S, quiet_after_s=146 * HOUR_S), 50 + 96),
        (replace(RESULTS, learns=True, every_s=48 * HOUR_S, quiet_after_s=60 * HOUR_S), 50 + 96),
        (replace(RESULTS, quiet_after_s=None), None),
        (replace(RESULTS, tables=("tank", "tank.temperature_C", "tank.cells_k_ml")), 26),
        (replace(RESULTS, tables=("visits", "cow_tests")), 26),
        (replace(RESULTS, tables=()), 26),
    ],
)
def test_test_results_may_be_as_old_as_they_are_when_they_come(feed: FeedFacts, after_h: int | None) -> None:
    """Four days; no other feed is let be late for coming late."""
    told = with_lag(feed, 96 * HOUR_S)

    assert told.quiet_after_s == (None if after_h is None else after_h * HOUR_S)
    assert told.quiet_least_s == (told.quiet_after_s if told != feed else feed.quiet_least_s)
    assert with_lag(feed, 0) == feed
