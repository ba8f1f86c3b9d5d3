"""Whether everything is watched: the line by which silence is told from a quiet farm."""

from __future__ import annotations

from dataclasses import replace

from flow.notices.small_days import desk, person
from text_tables import moment, table

from sentinel.flow.notices.regular.watched import failing_channels, watched_line
from sentinel.flow.tables import FarmFacts, FeedFacts, Tables

AT = moment("12:00")
FEEDS = (
    FeedFacts("visits", ("visits",), "hourly", moment("11:30"), quiet_after_s=90 * 60),
    FeedFacts("tank", ("tank",), "daily", moment("06:00"), quiet_after_s=26 * 3600),
)
FARM = Tables(farm=FarmFacts(feeds=FEEDS, decided=(("late-cow", AT), ("box-failures", AT))))
DELIVERIES = """
notice  channel      at     outcome
a       marit-phone  09:00  gave_up
b       marit-phone  10:00  delivered
c       onno-phone   09:00  delivered
d       onno-phone   10:00  gave_up
e       gone-phone   10:00  gave_up
"""


def test_a_farm_of_which_all_is_watched_says_so_in_figures() -> None:
    """Of one rule too."""
    one = Tables(farm=replace(FARM.farm, decided=(("late-cow", AT),)))

    assert watched_line(AT, desk(person("Marit")), FARM) == (
        "All watched: 2 feeds read, 2 rules decided, no channel failing."
    )
    assert watched_line(AT, desk(), one) == "All watched: 2 feeds read, 1 rule decided, no channel failing."


def test_all_that_is_amiss_is_named_in_one_sentence() -> None:
    """Sentinel's own troubles first, then feeds, rules and channels."""
    feeds = (replace(FEEDS[0], known_until=moment("09:00")), replace(FEEDS[1], known_until=None))
    farm = FarmFacts(feeds=feeds, decided=(("late-cow", AT), ("box-failures", AT - 1)))
    tables = Tables(farm=farm, deliveries=table("deliveries", DELIVERIES))

    said = watched_line(AT, desk(person("Onno")), tables, lambda: ["The disk is nearly full"])

    assert said == (
        "Not everything is being watched: The disk is nearly full; feed visits is quiet; feed tank was not read yet; "
        "rule box-failures cannot be decided; channel onno-phone does not deliver."
    )


def test_a_channel_fails_if_its_last_notice_was_given_up() -> None:
    """One that has delivered since does not, nor one that nobody has any more."""
    tables = Tables(deliveries=table("deliveries", DELIVERIES))

    assert failing_channels(desk(person("Marit"), person("Onno")), tables) == ["onno-phone"]
    assert failing_channels(desk(person("Wiebe")), tables) == []
