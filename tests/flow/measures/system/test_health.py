"""Quiet feeds, notices that were not delivered, rules that cannot tell."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
from hypothesis import given, settings
from strategies import delivery_frames
from text_tables import lines, moment, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import BoxFacts, FarmFacts, FeedFacts, Tables


def test_feed_quiet() -> None:
    """A feed is quiet from its known-until; one that gave nothing yet, from when it was first watched."""
    feeds = (
        FeedFacts("visits", ("visits",), known_until=moment("06:00"), watched_since=moment("00:00")),
        FeedFacts("tank", ("tank",), watched_since=moment("01:00")),
    )
    found = measure_named("feed_quiet_min").compute(Tables(farm=FarmFacts(feeds=feeds)), "feed", {}).frame

    assert shown(found, "subject at") == lines("subject  at\nfeed:tank  01:00\nfeed:visits  06:00")


def quiet_of(*feeds: FeedFacts) -> list[list[str]]:
    """What is first quiet of some feeds."""
    found = measure_named("feed_quiet_min").compute(Tables(farm=FarmFacts(feeds=feeds)), "feed", {}).frame
    return shown(found, "subject at of_box still _bound_least")[1:]


def test_files_without_a_new_row_keep_a_feed_from_being_quiet() -> None:
    """They came, and there was nothing to tell."""
    feed = FeedFacts("visits", ("visits",), known_until=moment("06:00"), silent_until=moment("07:50"))

    assert quiet_of(feed) == [["feed:visits", "07:50", "-", "-", "0"]]


def test_the_box_counts_that_is_quiet_first_at_its_own_pace() -> None:
    """Of files of one box each; if all have stopped at the same time it is the feed."""
    slow = BoxFacts("1", moment("06:00"), quiet_least_s=6 * 3600)
    late, fresh = BoxFacts("2", moment("08:00"), None, 0), BoxFacts("2", moment("08:00"), moment("10:50"), 0)
    feed = FeedFacts("visits", ("visits",), known_until=moment("11:00"), quiet_after_s=5400)

    assert quiet_of(replace(feed, boxes=(slow, late))) == [["feed:visits", "08:00", "2", "-", "0"]]
    assert quiet_of(replace(feed, boxes=(slow, fresh))) == [["feed:visits", "06:00", "1", "-", "360"]]
    assert quiet_of(replace(feed, known_until=moment("08:00"), boxes=(late, late)))[0][2] == "-"
    assert quiet_of(replace(feed, boxes=(late, replace(slow, quiet_least_s=None))))[0][2] == "2"


def test_feeds_that_went_on_coming_are_named() -> None:
    """Those that have given what happened well after the quiet one's newest row."""
    visits = FeedFacts("visits", ("visits",), known_until=moment("06:00"), quiet_after_s=5400)
    log = FeedFacts("boxlog", ("box_log",), known_until=moment("06:50"))
    tank = FeedFacts("tank", ("tank",), known_until=moment("06:30"))

    assert quiet_of(visits, log, tank)[2] == ["feed:visits", "06:00", "-", "boxlog", "0"]


def test_undelivered_notices() -> None:
    """Notices given up are counted until the channel delivers one again; channels are counted apart."""
    deliveries = table(
        "deliveries",
        """
        notice  channel  at     outcome    detail
        1       phone    06:00  gave_up    no answer
        2       phone    07:00  gave_up    refused
        3       phone    08:00  delivered  -
        4       phone    09:00  gave_up    no answer
        2       post     09:00  gave_up    full
        5       phone    10:00  delivered  -
        6       phone    10:00  gave_up    cut off
        """,
    )
    found = measure_named("undelivered_notices").compute(Tables(deliveries=deliveries), "channel", {}).frame

    assert shown(found, "subject at value notice detail") == lines("""
        subject        at     value  notice  detail
        channel:phone  06:00  1      1       no answer
        channel:phone  07:00  2      2       refused
        channel:phone  08:00  0      2       refused
        channel:phone  09:00  1      4       no answer
        channel:phone  10:00  0      6       cut off
        channel:post   09:00  1      2       full
        """)


@settings(max_examples=60, deadline=None)
@given(deliveries=delivery_frames)
def test_undelivered_against_a_plain_count(deliveries: pd.DataFrame) -> None:
    """Every reading is what counting the rows by hand gives."""
    found = measure_named("undelivered_notices").compute(Tables(deliveries=deliveries), "channel", {}).frame
    for row in found.to_dict("records"):
        mine = deliveries[("channel:" + deliveries["channel"] == row["subject"]) & (deliveries["at"] <= row["at"])]
        delivered = mine[mine["outcome"] == "delivered"]["at"]
        since = max([row["at"] - 30 * DAY_S, *delivered])
        assert row["value"] == ((mine["outcome"] == "gave_up") & (mine["at"] > since)).sum()
