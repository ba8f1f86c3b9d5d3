"""Invariant 2: a feed is known until its newest row; past that nothing is decided: a late export is a quiet feed."""

from __future__ import annotations

import pytest
from text_tables import moment_text
from whole.whole_farm import (
    BOX_FAILURES,
    FEED,
    FEED_QUIET,
    HERD_FEED,
    LATE_COW,
    Life,
    alerts,
    batch,
    setup_of,
)

from sentinel.edges.store.database import fetch
from sentinel.flow.model import TickKind

SECOND_FEED = FEED.replace("milkings", "parlour")


def herd_of_twenty(*, late: str) -> str:
    """Visits of twenty cows, every ten minutes from midnight on and again every nine hours; one does not return."""
    rows = ["cow  start  box  outcome"]
    for number in range(20):
        for hours in (0, 9, 18):
            if str(number + 1) != late or not hours:
                rows.append(f"{number + 1}  {hours + number // 6:02}:{number % 6}0  1  milked")
    return "\n".join(rows)


def between(text: str, begin: str, end: str) -> str:
    """The rows of a day from a time on, before another."""
    head, *rows = text.splitlines()
    return "\n".join([head, *(row for row in rows if begin <= row.split()[1] < end)])


def test_an_export_seven_hours_late_makes_no_cow_late() -> None:
    """While the export is missing only the feed is told of; when it comes, exactly the cow that was really late."""
    visits = herd_of_twenty(late="5")
    life = Life(setup_of(LATE_COW + FEED_QUIET))
    life.at("03:10", batch(between(visits, "00:00", "03:10")))
    life.at("13:00", batch(between(visits, "03:10", "13:00"), file="milkings_2.csv"))
    life.at("20:00", batch(between(visits, "13:00", "19:20"), file="milkings_3.csv"))
    life.at("20:30", batch(between(visits, "19:20", "20:30"), file="milkings_4.csv"))

    assert life.alerts == alerts("""
        rule        subject        raised    over   urgency  value
        feed-quiet  feed:milkings  01:30:01  03:10  now      90.017
        feed-quiet  feed:milkings  04:30:01  13:00  now      90.017
        feed-quiet  feed:milkings  13:40:01  20:00  now      90.017
        late-cow    cow:5          20:00     -      round    18.5
    """)
    assert len(visits.splitlines()) == 59


def test_without_known_until_the_late_export_would_have_been_blamed_on_the_cows() -> None:
    """The same day up to 19:00: by the clock every cow would have been late, by what is known none."""
    visits = herd_of_twenty(late="5")
    life = Life(setup_of(LATE_COW))
    life.at("03:10", batch(between(visits, "00:00", "03:10")))
    life.at("19:00")

    milked_last = [row["start"] for row in fetch(life.store, "select max(start) as start from visits group by cow")]
    assert all(moment_text(start + 14 * 3600) < "19:00" for start in milked_last)
    assert life.alerts == alerts("rule  subject  raised  over  urgency  value")


def test_an_old_file_sent_again_does_not_make_the_feed_look_fresh() -> None:
    """Its rows are known already; the feed stays as quiet as it was."""
    life = Life(setup_of(FEED_QUIET))
    old = batch("cow  start  box  outcome\n7  05:00  1  milked")
    life.at("05:05", old)
    life.at("06:20", old)
    life.at("07:00", old)

    assert life.alerts == alerts("""
        rule        subject        raised    over   urgency  value
        feed-quiet  feed:milkings  01:30:01  05:05  now      90.017
        feed-quiet  feed:milkings  06:30:01  -      now      90.017
    """)


def test_of_two_feeds_that_fill_a_table_the_lesser_counts() -> None:
    """A cow is not late while the parlour's export, in which she may be, has not come as far."""
    life = Life(setup_of(LATE_COW, (FEED, SECOND_FEED)))
    life.at("05:00", batch("cow  start  box  outcome\n7  05:00  1  milked"))
    life.at("05:01", batch("cow  start  box  outcome\n8  05:01  -  milked", feed="parlour", file="parlour_1.csv"))
    life.at("20:00", batch("cow  start  box  outcome\n9  20:00  1  milked", file="milkings_2.csv"))
    assert life.log("raised") == []

    life.at("20:30", batch("cow  start  box  outcome\n8  19:30  -  milked", feed="parlour", file="parlour_2.csv"))
    assert life.alerts == alerts("""
        rule      subject  raised  over  urgency  value
        late-cow  cow:7    20:30   -     round    14.5
    """)


def test_a_row_that_was_known_early_is_decided_when_the_other_feed_has_come_as_far() -> None:
    """A cow's failures wait for the slower feed and are told although she has not visited since."""
    rule = BOX_FAILURES.replace("per: box", "per: cow").replace("{box}", "{cow}").replace("Box", "Cow")
    life = Life(setup_of(rule, (FEED, SECOND_FEED)))
    life.at("05:00", batch("cow  start  box  outcome\n8  05:00  -  milked", feed="parlour", file="parlour_1.csv"))
    life.at("06:00", batch("cow  start  box  outcome\n9  05:20  1  failed\n9  05:30  1  failed\n9  05:40  1  failed"))
    assert life.log("raised") == []

    life.at("07:00", batch("cow  start  box  outcome\n8  06:40  -  milked", feed="parlour", file="parlour_2.csv"))
    assert life.log("raised") == ["07:00 raised box-failures cow:9"]


COW_FAILURES = """
- rule: cow-failures
  measure: failed_attachments
  per: cow
  options: {within: 6 h}
  raise_over: 1 failures
  where: {status: milking}
  urgency: round
  say: "Cow {cow}: {value}"
"""


@pytest.mark.parametrize(("since", "over"), [("05:30", ["07:00"]), ("03:00", ["06:00", "07:00"])])
def test_a_cow_dried_off_is_let_go_once_the_visits_have_come_as_far(since: str, over: list[str]) -> None:
    """Ahead of the visits the herd list waits for the next export; of the past it counts at once."""
    life = Life(setup_of(COW_FAILURES, (FEED, HERD_FEED)))
    life.at("05:00", batch("cow  start  box  outcome\n9  04:20  1  failed\n9  04:30  1  failed"))
    life.at("06:00", batch(f"cow  from  status\n9  {since}  dry", "cows", feed="herd", file="herd_1.csv"))
    assert life.log("over") == [f"{at} over cow-failures cow:9" for at in over[:-1]]

    life.at("07:00", batch("cow  start  box  outcome\n7  06:50  1  milked", file="milkings_2.csv"))
    assert life.log("over") == [f"{over[0]} over cow-failures cow:9"]


@pytest.mark.parametrize("ahead", ["06:10", "1d06:00"])
def test_a_wrong_clock_does_not_make_a_feed_look_fresh(ahead: str) -> None:
    """Neither a row dated long after it came nor a stamp in the future keeps a feed from being quiet."""
    life = Life(setup_of(FEED_QUIET))
    life.at("05:00", batch(f"cow  start  box  outcome\n7  05:00  1  milked\n8  {ahead}  1  milked", until=ahead))
    life.at("09:00")

    assert life.log("set-aside") == ["05:00 set-aside file:milkings/milkings_1.csv"]
    assert life.log("raised")[1:] == ["06:30:01 raised feed-quiet feed:milkings"]


def test_a_stamp_vouches_for_hours_without_a_row() -> None:
    """An export that promises completeness up to its stamp makes a cow late in a silent barn."""
    life = Life(setup_of(LATE_COW + FEED_QUIET))
    life.at("05:00", batch("cow  start  box  outcome\n7  04:55  1  milked", until="05:00"))
    life.at("19:00", batch("", file="milkings_2.csv", until="19:00"))

    assert life.log("raised")[2:] == ["19:00 raised late-cow cow:7"]


BOX_QUIET = """
- rule: box-quiet
  measure: box_quiet_min
  raise_over: 90 min
  urgency: now
  say: "Box {box}: no cow for {value}"
"""


@pytest.mark.parametrize("begins_late", [False, True], ids=["watched all along", "begun long after"])
def test_a_farm_whose_exports_stopped_months_ago_stays_as_it_was_last_known(begins_late: bool) -> None:
    """What stood goes on standing and nothing new is raised: the rows before the feed's end are still looked at."""
    visits = (
        "cow  start  box  outcome\n7  05:00  1  milked\n8  06:00  2  milked\n8  10:00  2  milked\n8  22:00  2  milked"
    )
    life = Life(setup_of(BOX_QUIET + LATE_COW), begin=None if begins_late else "00:00")
    stood = alerts("""
        rule       subject  raised  over  urgency  value
        box-quiet  box:1    22:10   -     now      1020
        box-quiet  box:2    22:10   -     now      1020
        late-cow   cow:7    22:10   -     round    17
    """)
    life.at("70d00:00" if begins_late else "22:10", batch(visits))
    life.restart()
    life.at("100d00:00", kind=TickKind.START)
    life.at("140d00:00")

    found = [row for row in life.alerts if row[1] != "box:2"]
    assert [row[:2] + row[3:] for row in found] == [row[:2] + row[3:] for row in stood if row[1] != "box:2"]


def test_what_is_looked_at_reaches_back_again_when_a_feed_far_behind_begins() -> None:
    """A second farm yard's boxes, whose export ends 50 days ago, are judged by their last weeks, not by nothing."""
    life = Life(setup_of(BOX_QUIET, feeds=(FEED, SECOND_FEED)))
    for day in range(60):
        life.at(f"{day}d12:00", batch(f"cow  start  box  outcome\n7  {day}d11:30  1  milked", file=f"{day}.csv"))
    life.at("60d12:00", batch("cow  start  box  outcome\n8  10d11:40  2  milked", feed="parlour", file="parlour_1.csv"))

    assert life.alerts == alerts("rule  subject  raised  over  urgency  value")
