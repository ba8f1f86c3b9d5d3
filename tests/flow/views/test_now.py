"""What stands now, place by place."""

import pytest
from text_tables import moment
from view_farm import AT, alert, snapshot

from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import FeedFacts
from sentinel.flow.views.now import HeldBy, now_page


def test_alerts_are_grouped_by_where_one_walks() -> None:
    """Boxes and their chores, yard, field, tank, office, in this order; an empty place is left out."""
    subjects = ["unread:a/Milk", "tank:1", "chore:wire/east", "cow:9", "chore:filter/2", "box:1", "herd"]
    page = now_page(snapshot([alert(n, one) for n, one in enumerate(subjects)], ()))
    assert [(group.place, [line.subject for line in group.lines]) for group in page.groups] == [
        ("boxes", ["box:1", "chore:filter/2"]),
        ("yard", ["cow:9", "herd"]),
        ("field", ["chore:wire/east"]),
        ("tank", ["tank:1"]),
        ("office", ["unread:a/Milk"]),
    ]


def test_at_each_place_the_most_pressing_come_first() -> None:
    """What cannot wait, then what nobody answered and nothing holds back, then the longest standing; `log` is last."""
    alerts = [
        alert(1, "cow:1", "log"),
        alert(2, "cow:2", since="1d09:00"),
        alert(3, "cow:3", since="1d07:00"),
        alert(4, "cow:4", covered_by=("box-quiet box:2",)),
        alert(5, "cow:5", answered_by="Marit", answered_at=AT),
        alert(6, "cow:6", "now", answered_by="Marit", answered_at=AT),
        alert(7, "cow:7", "now"),
        alert(8, "cow:8", "now", over_at=AT),
    ]
    [group] = now_page(snapshot(alerts, ())).groups
    assert [line.alert for line in group.lines] == [7, 6, 3, 2, 4, 5, 1]
    assert group.pressing == 2


def test_a_line_says_how_bad_since_when_who_answered_and_what_holds_it_back() -> None:
    """The bound of the subject's own class comes from the alert's figures, else from the rule."""
    box = alert(1, "box:2", "now", rule="box-quiet")
    cow = alert(2, "cow:7", value=20.5, facts={"bound": 26.0, "box": "2"}, covered_by=("box-quiet box:2",), again=2)
    plain = alert(3, "cow:8", value=15.0, answered_by="Marit", answered_at=AT, finding="brought up")
    groups = now_page(snapshot([box, cow, plain], ())).groups
    lines = {line.subject: line for group in groups for line in group.lines}
    hers = lines["cow:7"]
    assert (hers.value, hers.bound, hers.unit, hers.again, hers.held_by) == (
        20.5, 26.0, "h", 2, (HeldBy("box-quiet", "box:2", 1),),
    )  # fmt: skip
    assert [(link.page, link.name) for link in hers.links] == [("cow", "7"), ("box", "2")]
    other = lines["cow:8"]
    assert (other.bound, other.answered_by, other.finding, other.since) == (
        14.0,
        "Marit",
        "brought up",
        moment("1d08:00"),
    )
    assert (lines["box:2"].bound, lines["box:2"].unit) == (None, "")  # its rule is not in use any more


@pytest.mark.parametrize(
    ("pace", "hours", "behind"),
    [("hourly", 1.5, False), ("hourly", 1.6, True), ("daily", 25, False), ("daily", 27, True)],
)
def test_a_feed_is_behind_once_it_is_silent_for_longer_than_its_rule_lets_it(
    pace: str, hours: float, behind: bool
) -> None:
    """Even before the service has looked again and raised its alert; the bound is that of its pace."""
    feed = FeedFacts("visits", ("visits",), pace, AT - round(hours * HOUR_S))
    page = now_page(snapshot((), [feed]))
    assert ([line.feed for line in page.behind], page.quiet) == (["visits"] if behind else [], not behind)
    assert (page.feeds[0].age_s, page.feeds[0].known_until) == (round(hours * HOUR_S), AT - round(hours * HOUR_S))


def test_a_feed_that_never_came_counts_from_when_it_was_watched() -> None:
    """Its known-until is None, which the page says as not read yet."""
    page = now_page(snapshot((), [FeedFacts("a", ("visits",), "hourly", None, AT - 2 * HOUR_S)]))
    assert [(line.known_until, line.age_s, line.due_s) for line in page.behind] == [(None, 7200, 5400)]


def test_a_feed_that_is_behind_is_said_once_above_everything() -> None:
    """Its alert is not repeated in the office; that of another rule on it is."""
    feeds = [FeedFacts("a", ("visits",), "hourly", AT), FeedFacts("b", ("tank",), "hourly", AT - 9 * HOUR_S)]
    alerts = [alert(1, "feed:b", rule="feed-quiet"), alert(2, "unread:b/Milk", rule="rows"), alert(3, "box:1", "now")]
    page = now_page(snapshot(alerts, feeds))
    assert [(line.feed, line.alert) for line in page.behind] == [("b", 1)]
    assert [line.alert for group in page.groups for line in group.lines] == [3, 2]
    assert not page.quiet


def test_an_alert_on_a_feed_counts_even_where_the_bound_is_not_passed_yet() -> None:
    """It stands until its condition has ended, and so long the feed is behind."""
    page = now_page(snapshot([alert(1, "feed:a", rule="feed-quiet")], [FeedFacts("a", ("visits",), "hourly", AT)]))
    assert [line.alert for line in page.behind] == [1]


def test_a_quiet_farm_says_so_with_until_when_each_feed_is_known() -> None:
    """No group, nothing behind, every feed with its moment."""
    feeds = [FeedFacts("b10", ("tank",), "daily", AT - HOUR_S), FeedFacts("b9", ("visits",), "hourly", AT - 60)]
    page = now_page(snapshot((), feeds))
    assert (page.quiet, page.groups, page.behind) == (True, (), ())
    assert [(line.feed, line.known_until) for line in page.feeds] == [("b9", AT - 60), ("b10", AT - HOUR_S)]
