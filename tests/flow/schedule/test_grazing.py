"""When blocks are grazed, and which cows are still out."""

from __future__ import annotations

from dataclasses import replace

from text_tables import DAY_0, moment, moment_text, table
from view_farm import GRAZING, rows, the_farm

from sentinel.flow.schedule.grazing import sessions, still_out
from sentinel.flow.tables import Tables

VISITS = """
cow  start     box  outcome
1    1d08:00   1    milked
2    1d08:10   1    refused
3    1d08:20   2    milked
4    1d02:00   2    milked
5    1d08:30   1    milked
2    02:10     1    milked
3    1d14:30   1    failed
"""
COWS = """
cow  from   group  status
4    00:00  -      milking
5    00:00  -      dry
"""


def out(tables: Tables, at: str, grazing: str = GRAZING) -> list[tuple[str, str, str, float | None]]:
    """The cows still out as (cow, block, its end, hours since milking)."""
    found = still_out(tables, the_farm(grazing), moment(at))
    return [(o.cow, o.block, moment_text(o.ended_at), o.since_milking_h) for o in found]


def grazed(known: str, **more: str) -> Tables:
    """The visits, with the farm watched from the first day."""
    return rows(known=known, since="00:00", grazing=GRAZING, visits=VISITS, cows=COWS, **more)


def test_cows_not_seen_since_their_block_ended_are_still_out() -> None:
    """East ends at 13:00: cow 1 and 2 went there and have not come; 3 came (even if not attached), 5 is dry.

    Cow 4 was seen before it opened, so it is the block she would have been let out to; the longest unmilked is first.
    """
    assert out(grazed("1d15:00"), "1d15:00") == [
        ("2", "east", "1d13:00", 36 + 50 / 60),
        ("4", "east", "1d13:00", 13.0),
        ("1", "east", "1d13:00", 7.0),
    ]


def test_nobody_is_told_as_out_before_the_time_to_walk_home_is_over() -> None:
    """Two hours unless the plan says otherwise."""
    assert out(grazed("1d14:59"), "1d14:59") == []
    soon = GRAZING.replace('"06:45"}', '"06:45", out_after: 30 min}')
    assert {cow for cow, *_ in out(grazed("1d13:30"), "1d13:30", soon)} == {"1", "2", "3", "4"}


def test_a_late_export_makes_no_cow_look_lost() -> None:
    """It is 16:00, but the visits are known until 13:30 only."""
    assert out(grazed("1d13:30"), "1d16:00") == []


def test_without_a_plan_or_without_visits_nobody_is_out() -> None:
    """A feed that has given nothing tells nothing."""
    assert out(grazed("1d15:00"), "1d15:00", "") == []
    tables = grazed("1d15:00")
    feeds = tuple(replace(feed, known_until=None) for feed in tables.farm.feeds)
    assert out(replace(tables, farm=replace(tables.farm, feeds=feeds)), "1d15:00") == []


def test_a_block_of_a_group_is_grazed_by_its_cows_only() -> None:
    """The older cows have east; a young one let out at the same time has west, which ends later."""
    plan = """\
grazing:
  - {name: east, from: "07:00", to: "11:00", groups: [old]}
  - {name: west, from: "07:00", to: "13:00", groups: [young]}
"""
    cows = "cow  from   group  status\n1    00:00  young  milking\n2    00:00  old    milking\n"
    tables = replace(grazed("1d13:30"), cows=table("cows", cows))
    assert [(cow, block) for cow, block, *_ in out(tables, "1d13:30", plan)] == [
        ("2", "east"), ("4", "east"), ("3", "east"), ("5", "east"),
    ]  # fmt: skip


def test_sessions_stand_on_the_farms_calendar() -> None:
    """A block over midnight ends the next morning; its wire is due on the eve of its begin; months bound it."""
    plan = """\
grazing:
  - {name: night, from: "19:00", to: "05:00", move_wire_before: "18:00", last_day: 2024-06-04, chore: wire}
  - {name: east, from: "06:00", to: "18:30", move_wire_before: "20:00"}
""".replace("night", "west", 1)
    found = sessions(the_farm(plan).grazing, DAY_0, moment("2d12:00"), "UTC")
    told = [(s.block.name, *(moment_text(x or 0) for x in (s.begins, s.ends, s.wire_due))) for s in found]
    assert told == [
        ("east", "06:00", "18:30", "-1d20:00"),
        ("west", "19:00", "1d05:00", "18:00"),
        ("east", "1d06:00", "1d18:30", "20:00"),
        ("west", "1d19:00", "2d05:00", "1d18:00"),
        ("east", "2d06:00", "2d18:30", "1d20:00"),
    ]


def test_sessions_keep_the_wall_clock_when_it_changes() -> None:
    """In Dublin summer time 07:00 is 06:00 UTC, in winter it is 07:00 UTC."""
    plan = the_farm(GRAZING).grazing[:1]
    summer = moment("1d06:00")
    assert [s.begins for s in sessions(plan, summer - 60, summer + 60, "Europe/Dublin")] == [summer]
    winter = moment("200d07:00")
    assert [s.begins for s in sessions(plan, winter - 60, winter + 60, "Europe/Dublin")] == [winter]
