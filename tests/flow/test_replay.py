"""History in bulk: when each rule would have been decided, from how each feed's rows would have come."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from text_tables import moment, moment_text, table
from whole.whole_farm import alert_table, alerts

from sentinel.flow.measures import measure_named
from sentinel.flow.replay import Coming, deciding, replay, replay_each
from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.tables import FarmFacts, Tables

VISITS = """
    cow  start    box  outcome
    7    00:00    1    milked
    8    01:00    1    milked
    8    13:00    2    milked
    8    14:00    1    milked
    8    15:00    1    milked
    7    16:00    2    milked
    8    17:00    1    milked
"""


def late(**more: Any) -> Rule:
    """Late after fourteen hours."""
    given: dict[str, Any] = {"raise_over": 14, **more}
    return Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", **given)


def coming(*at: str, rows: str = "") -> Coming:
    """A feed that comes at these times, with rows at others (without them: at the same)."""
    moments = np.array([moment(one) for one in at], dtype=np.int64)
    return Coming(moments, np.array([moment(one) for one in rows.split()], dtype=np.int64) if rows else moments)


STARTS = ("00:00", "01:00", "13:00", "14:00", "15:00", "16:00", "17:00")


def told(rule: Rule, feeds: dict[str, Coming], until: str = "17:00", visits: str = VISITS) -> list[list[str]]:
    """What would have been raised, the feeds all filling visits."""
    tables = Tables(visits=table("visits", visits), farm=FarmFacts(boxes=("1", "2"), watched_since=moment("00:00")))
    return alert_table(replay({rule.name: rule}, tables, feeds, {"visits": tuple(feeds)}, moment(until)))


def test_a_rule_is_decided_with_the_first_row_past_its_bound() -> None:
    """At 14:00 it is exactly fourteen hours; the row of 15:00 shows that she was not milked since."""
    assert told(late(), {"milkings": coming(*STARTS)}) == alerts("""
        rule      subject  raised  over   urgency  value
        late-cow  cow:7    15:00   16:00  round    15
    """)


def test_a_feed_with_a_stamp_is_decided_at_its_stamps() -> None:
    """The file of 14:30 tells it first; the milking of 16:00 comes with the file of 16:30."""
    feed = coming("10:30", "14:30", "16:30", rows=" ".join(STARTS))
    assert told(late(), {"milkings": feed}) == alerts("""
        rule      subject  raised  over   urgency  value
        late-cow  cow:7    14:30   16:30  round    14.5
    """)


def test_of_two_feeds_the_slower_bounds_and_a_reset_counts_as_soon_as_it_comes() -> None:
    """The parlour's row of 16:30 comes after cow 7's milking of 16:00, so she is never told of."""
    feeds = {"milkings": coming(*STARTS), "parlour": coming("13:30", "16:30")}
    assert told(late(), feeds) == alerts("rule  subject  raised  over  urgency  value")


def test_what_was_pressing_by_the_end_is_now() -> None:
    """The pressing bound counts only when it was decided before the alert was over."""
    feed = {"milkings": coming(*STARTS)}
    assert told(late(now_over=14.5), feed)[1][4] == "now"
    assert told(late(now_over=15.5), feed)[1][4] == "round"


def test_what_is_still_standing_at_the_end_is_not_over() -> None:
    """Nothing is said of what comes after `until`."""
    feed = {"milkings": coming(*STARTS)}
    assert told(late(), feed, "15:30")[1] == ["late-cow", "cow:7", "15:00", "-", "round", "15"]
    assert len(told(late(), feed, "14:59")) == 1


def quiet(**more: Any) -> Rule:
    """A box without a visit for half an hour."""
    return Rule(name="quiet", measure="box_quiet_min", per="box", unit="min", raise_over=30, **more)


def test_coming_again_and_ageing_are_as_they_would_have_been() -> None:
    """Box 1 has a visit each hour: told once as the same alert, or each time anew; or let go after ten minutes."""
    visits = "cow  start  box  outcome\n" + "\n".join(
        f"{m}  0{1 + m // 6}:{m % 6}0  {1 + (m % 6 > 0)}  milked" for m in range(18)
    )
    starts = [line.split()[1] for line in visits.splitlines()[1:]]
    feed = {"milkings": coming(*starts)}
    one = [row for row in told(quiet(again_within_s=3600), feed, "03:50", visits) if row[1] == "box:1"]
    assert one == [["quiet", "box:1", "01:40", "-", "round", "40"]]
    each = [row[2:4] for row in told(quiet(), feed, "03:50", visits) if row[1] == "box:1"]
    assert each == [["01:40", "02:00"], ["02:40", "03:00"], ["03:40", "-"]]
    aged = [row[2:4] for row in told(quiet(over_after_s=600), feed, "03:50", visits) if row[1] == "box:1"]
    assert aged == [["01:40", "01:50"], ["02:40", "02:50"], ["03:40", "03:50"]]


def test_without_a_feed_a_rule_is_decided_at_every_second() -> None:
    """What only people record is known when it is done."""
    assert deciding(measure_named("hours_since_chore"), {}, {}, np.empty(0, np.int64)) is None


@pytest.mark.parametrize(("name", "by_hand"), [("hours_since_filter", ["05:00"]), ("hours_since_milking", [])])
def test_a_chore_done_by_hand_comes_when_it_is_done_if_the_rule_rests_on_chores(name: str, by_hand: list[str]) -> None:
    """Without waiting for any file."""
    table_of = measure_named(name).needs[0]
    found = deciding(
        measure_named(name), {"a": coming("04:00", "06:00")}, {table_of: ("a",)}, np.array([moment("05:00")])
    )
    assert found is not None
    assert [moment_text(one) for one in found.came(np.array([moment("05:00")])) if one < 1 << 60] == by_hand


def test_what_was_clear_only_between_two_files_goes_on_as_one_alert() -> None:
    """The visit of 01:20 comes with the file of 02:00, by when the box has been quiet for too long again."""
    visits = "cow  start  box  outcome\n7  00:00  1  milked\n8  01:20  1  milked"
    feed = coming("01:00", "02:00", rows="00:00 01:20")
    assert [row for row in told(quiet(), {"milkings": feed}, "02:30", visits) if row[1] == "box:1"] == [
        ["quiet", "box:1", "01:00", "-", "round", "60"]
    ]


def test_several_thresholds_at_once_are_as_one_by_one_and_readings_are_worked_out_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With other bounds, classes and `where`: a measure is asked once for all that rest on it alike."""
    asked: list[str] = []
    usual = measure_named("hours_since_milking")

    def compute(tables: Tables, per: str, options: Any) -> Any:
        asked.append(per)
        return usual.compute(tables, per, options)

    monkeypatch.setattr("sentinel.flow.replay.measure_named", lambda name: replace(usual, compute=compute))
    tables = Tables(visits=table("visits", VISITS), farm=FarmFacts(boxes=("1", "2"), watched_since=moment("00:00")))
    seven = RuleClass(where={"cow": ("7",)}, raise_over=2.0)
    given = (late(), late(raise_over=2), late(where={"cow": ("8",)}, raise_over=2), late(classes=(seven,)), late())
    tried: list[dict[str, Rule]] = [{rule.name: rule} for rule in given]
    feeds, until = {"milkings": coming(*STARTS)}, moment("17:00")
    at_once = replay_each(tried, tables, feeds, {"visits": ("milkings",)}, until)
    assert asked == ["cow"]
    one_by_one = [replay(rules, tables, feeds, {"visits": ("milkings",)}, until) for rules in tried]
    assert at_once == one_by_one
    assert [[moment_text(alert.raised_at) for alert in one] for one in at_once] == [
        ["15:00"], ["13:00"], [], ["13:00"], ["15:00"],
    ]  # fmt: skip
