"""Until when each feed is known, and which are behind."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment
from view_farm import AT, alert, the_rules

from sentinel.flow.schedule.feeds import FeedLine, feed_line
from sentinel.flow.tables import FeedFacts

VISITS = FeedFacts("visits", ("visits",), "hourly", moment("1d11:00"), moment("06:00"))


@pytest.mark.parametrize(("known", "behind"), [("1d11:00", False), ("1d10:30", False), ("1d10:29:59", True)])
def test_a_feed_is_behind_once_its_bound_is_passed(known: str, behind: bool) -> None:
    """An hourly one after 90 min; at exactly 90 min it is not yet."""
    line = feed_line(replace(VISITS, known_until=moment(known)), [], the_rules(), AT)

    assert (line.age_s, line.due_s, line.behind) == (AT - moment(known), 90 * 60, behind)


def test_a_daily_feed_has_a_day_and_one_that_gave_nothing_counts_from_when_it_was_watched() -> None:
    """By the class of its pace."""
    daily = feed_line(replace(VISITS, pace="daily"), [], the_rules(), AT)
    silent = feed_line(replace(VISITS, known_until=None), [], the_rules(), AT)

    assert (daily.due_s, daily.behind) == (26 * 3600, False)
    assert (silent.known_until, silent.age_s, silent.behind) == (None, AT - moment("06:00"), True)


def test_without_a_rule_no_feed_is_behind() -> None:
    """Nobody said within how long it should come; and one that runs ahead of now is not old."""
    assert feed_line(replace(VISITS, known_until=0), [], {}, AT).behind is False
    assert feed_line(replace(VISITS, known_until=AT + 60), [], the_rules(), AT).age_s == 0


def test_a_standing_alert_of_the_feed_says_so_before_its_bound() -> None:
    """The first of them is named; alerts of other feeds, of other rules and those that are over do not count."""
    stands = [
        alert(4, "feed:visits", rule="feed-quiet"),
        alert(3, "feed:visits", rule="feed-quiet"),
        alert(2, "feed:visits", rule="feed-quiet", over_at=AT),
        alert(1, "feed:tank", rule="feed-quiet"),
        alert(0, "feed:visits", rule="late-cow"),
    ]

    assert feed_line(VISITS, stands, the_rules(), AT) == FeedLine("visits", moment("1d11:00"), 3600, 5400, True, 3)
    assert feed_line(VISITS, stands[2:], the_rules(), AT).alert is None
