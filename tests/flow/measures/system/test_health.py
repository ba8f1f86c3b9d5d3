"""Quiet feeds, rows set aside, notices that were not delivered."""

from __future__ import annotations

import tracemalloc
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


def test_rows_set_aside() -> None:
    """Each reading of a file gives its number of rows set aside, with the reason; an uncounted one cannot be told."""
    files = table(
        "files",
        """
        feed    file       at     rows_read  rows_set_aside  reason
        visits  a.csv      06:00  20         0               -
        visits  b/may.csv  07:00  18         2               "5,9x" is not a number
        visits  a.csv      08:00  22         1               no such cow
        tank    t.xlsx     09:00  0          -               not a workbook
        """,
    )
    found = measure_named("rows_set_aside").compute(Tables(files=files), "file", {}).frame

    assert shown(found, "subject at value rows_read reason why") == lines("""
        subject                at     value  rows_read  reason                  why
        file:tank/t.xlsx       09:00  -      -          not a workbook          the rows of this file were not counted
        file:visits/a.csv      06:00  0      20         -                       -
        file:visits/a.csv      08:00  1      22         no such cow             -
        file:visits/b/may.csv  07:00  2      18         "5,9x" is not a number  -
        """)


def test_what_could_not_be_read_of_a_file_is_said_in_words() -> None:
    """Rows left out, rows read in part, both, or nothing of it."""
    files = table(
        "files",
        """
        feed    file   at     rows_read  rows_set_aside  rows_in_part  reason
        visits  a.csv  06:00  20         2               0             x
        visits  b.csv  06:00  20         0               1             x
        visits  c.csv  06:00  20         1               3             x
        visits  d.csv  06:00  0          1               0             x
        visits  e.csv  06:00  20         0               0             -
        """,
    )
    found = measure_named("rows_set_aside").compute(Tables(files=files), "file", {}).frame

    assert list(found["what"]) == [
        "2 rows left out",
        "1 row read only in part",
        "1 row left out, 3 rows read only in part",
        "none of it could be read",
        "",
    ]
    assert list(found["value"]) == [2, 1, 4, 1, 0]


def test_a_file_that_is_read_whole_itself_as_it_passes_is_told_once() -> None:
    """And one that lost rows twice passes once."""
    files = table(
        "files",
        """
        feed    file   at       rows_read  rows_set_aside  reason
        visits  a.csv  06:00    20         3               x
        visits  b.csv  06:00    20         1               x
        visits  b.csv  06:10    20         1               x
        visits  c.csv  07:00    20         0               -
        visits  a.csv  1d06:10  20         0               -
        """,
    )
    found = measure_named("rows_set_aside").compute(Tables(files=files), "file", {}).frame

    assert shown(found, "subject at value") == lines("""
        subject            at       value
        file:visits/a.csv  06:00    3
        file:visits/a.csv  1d06:10  0
        file:visits/b.csv  06:00    1
        file:visits/b.csv  06:10    1
        file:visits/b.csv  1d06:10  0
        file:visits/c.csv  07:00    0
        """)


def test_a_file_is_no_matter_any_more_once_its_feed_has_been_whole_for_a_day() -> None:
    """By later files, two at least; a further bad one begins the day anew, and other feeds tell nothing of it."""
    files = table(
        "files",
        """
        feed    file   at       rows_read  rows_set_aside  rows_in_part  reason
        visits  a.csv  06:00    118        2               0             x
        visits  b.csv  07:00    118        0               0             -
        visits  c.csv  20:00    118        0               3             y
        tank    t.csv  1d07:00  1          0               0             -
        tank    u.csv  2d07:00  1          0               0             -
        visits  d.csv  1d19:00  118        0               0             -
        visits  e.csv  1d21:00  118        0               0             -
        visits  f.csv  1d22:00  118        0               0             -
        herd    g.csv  06:00    0          4               0             z
        herd    h.csv  1d07:00  90         0               0             -
        """,
    )
    found = measure_named("rows_set_aside").compute(Tables(files=files), "file", {}).frame
    lost = found[found["subject"].isin(["file:visits/a.csv", "file:visits/c.csv", "file:herd/g.csv"])]

    assert shown(lost, "subject at value") == lines("""
        subject            at       value
        file:herd/g.csv    06:00    4
        file:visits/a.csv  06:00    2
        file:visits/a.csv  1d21:00  0
        file:visits/c.csv  20:00    3
        file:visits/c.csv  1d21:00  0
        """)


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


def test_a_long_reason_does_not_give_every_other_one_its_room() -> None:
    """Two hundred files with a reason, one of them of a hundred thousand characters, take no more than they are."""
    rows = [["f", f"{n}.csv", "06:00", "1", "2", "x" * 100_000 if n == 7 else "y"] for n in range(200)]
    files = table(
        "files", "feed  file  at  rows_read  rows_set_aside  reason\n" + "\n".join("  ".join(row) for row in rows)
    )
    tracemalloc.start()
    try:
        found = measure_named("rows_set_aside").compute(Tables(files=files), "file", {}).frame
        taken = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert taken < 5_000_000
    assert found["reason"].map(len).max() == 100_000
