"""Unreadable is unknown: what could not be read accuses no cow, and what is old news rings no phone."""

from __future__ import annotations

import pytest
from text_tables import moment
from whole.whole_farm import BOX_LOG_FEED, FARM, FEED_QUIET, Life, batch, setup_of

from sentinel.edges.store.alerts import alerts_of_rule, all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.flow.model import DAY_S, HOUR_S, Export, Notice, TickKind
from sentinel.flow.setup import Setup
from sentinel.runtime.record.replay import live_alerts
from sentinel.runtime.ticks import batch_of

FEED = """
feed: milkings
files: "milkings_*.csv"
delimiter: ";"
decimal: ","
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: Milk
    outcome: {column: Ended, words: {done: milked, cut: incomplete, none: failed, sent on: refused}}
  quarters:
    each: quarter
    conductivity_mS_cm: {column: "{quarter}", reference_temperature_C: 25}
"""

LATE = """
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  now_over: 18 h
  urgency: round
  say: "Cow {cow} not milked for {value}"
- rule: box-quiet
  measure: box_quiet_min
  raise_over: 90 min
  urgency: now
  say: "Box {box}: no cow for {value}"
- rule: late-share
  measure: late_share
  raise_over: 10 %
  urgency: now
  say: "{value} of the cows are late"
"""

PEOPLE = """
- person: Marit
  channels: [marit]
  hours: always
"""

SAID = "Cow 7 not milked for"
HEAD = "Cow;Start;Box;Milk;Ended;LF;RF;LR;RR"


def day(text: str) -> str:
    """A moment of day 0 or 1 as the export writes it."""
    number, _, clock = text.rpartition("d")
    return f"2024-06-0{3 + int(number or 0)} {clock}"


def row(cow: str, when: str, *, milk: str = "11,5", ended: str = "done", lf: str = "5,1", box: str = "1") -> str:
    """One line of an export."""
    return f"{cow};{day(when)};{box};{milk};{ended};{lf};5,2;5,0;5,1"


def farm(rules: str = LATE, **more: str) -> Setup:
    """The farm with its map."""
    return setup_of(rules, (FEED,), people=PEOPLE, **more)


def read(life: Life, when: str, *rows: str, file: str = "milkings_1.csv") -> None:
    """An export is read as the service reads it."""
    text = "\n".join([HEAD, *rows]) + "\n"
    found = batch_of(life.engine.setup, Export(file, text.encode(), moment(when)))
    assert found is not None
    life.at(when, found)


def pushed(life: Life) -> list[Notice]:
    """The notices that reached a phone at once."""
    return [notice for step in life.steps for notice in step.notices if notice.kind != "worklist"]


USUAL = [
    row("8", f"{n // 24}d{n % 24:02}:{m:02}", box=box) for n in range(0, 48, 8) for m, box in ((5, "1"), (50, "2"))
]
"""A cow that keeps the boxes and the export going."""


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        ({"lf": "4,8x"}, '"LF": "4,8x" is not a number'),
        ({"milk": "11.5"}, '"Milk": "11.5" is not a number with the decimal mark ","'),
        ({"ended": "dnoe"}, '"Ended": "dnoe" is not in the map\'s word table'),
    ],
)
def test_one_unreadable_cell_accuses_no_cow(damage: dict[str, str], told: str) -> None:
    """Cow 7 was milked two hours ago, says her row, whatever else of it cannot be read; and that is told."""
    life = Life(farm())
    read(
        life,
        "23:00",
        row("7", "00:10"),
        row("7", "20:40", **damage),
        *USUAL[:6],
        row("9", "22:44"),
        row("9", "22:50", box="2"),
    )

    assert [one for one in live_alerts(life.store) if "7" in one.subject] == []
    assert pushed(life) == []
    [aside] = rows_set_aside(life.store)
    assert (aside["line"], bool(aside["kept"])) == (3, True)
    assert str(aside["reason"]).startswith(told)
    hers = "select milk_kg, lf_conductivity_mS_cm as lf, outcome from visits where cow = '7' and start > ?"
    [visit] = fetch(life.store, hers, (moment("12:00"),))
    assert tuple(visit) == (
        None if "milk" in damage else 11.5,
        None if "lf" in damage else 5.1,
        "unknown" if "ended" in damage else "milked",
    )


def test_a_visit_of_unknown_outcome_leaves_it_open_until_she_would_be_late_whichever_it_was() -> None:
    """Milked at 00:10; how the visit of 10:00 ended nobody can read. She is late for certain only past midnight."""
    life = Life(farm())
    for hour in range(12, 28):
        when = f"{hour // 24}d{hour % 24:02}:30" if hour >= 24 else f"{hour}:30"
        rows = [row("7", "00:10"), row("7", "10:00", ended="??")] if hour == 12 else []
        read(life, when, *rows, row("8", when), row("9", when, box="2"), file=f"milkings_{hour}.csv")

    late = [one for one in live_alerts(life.store) if one.rule == "late-cow"]
    assert [(one.subject, one.raised_at) for one in late] == [("cow:7", moment("1d00:30"))]
    assert life.told_again == life.alerts


def test_a_milking_that_could_not_be_read_is_somebodys() -> None:
    """A line is cut: cow 7, past 18 h, is on the list, but rings no phone until that line cannot have been hers."""
    life = Life(farm())
    read(
        life,
        "18:30",
        row("7", "00:10"),
        row("9", "14:50"),
        row("8", "15:10"),
        row("8", "15:20", box="2"),
        "7;2024-06-03 15:3",
        row("9", "16:05"),
        row("9", "18:20"),
        row("8", "18:25", box="2"),
    )
    [late] = alerts_of_rule(life.store, "late-cow")
    assert (late.urgency, late.text) == (
        "round",
        f"{SAID} 18 h 15 min; 1 visit could not be read (15:20–16:05)",
    )
    assert pushed(life) == []

    read(life, "1d10:00", row("9", "1d09:50"), row("8", "1d09:55", box="2"), file="milkings_2.csv")
    assert [n.kind for n in pushed(life) if late.id in n.alerts] == []
    read(life, "1d10:30", row("9", "1d10:20"), row("8", "1d10:25", box="2"), file="milkings_3.csv")
    assert [n.kind for n in pushed(life) if late.id in n.alerts] == ["alert"]
    assert life.told_again == life.alerts


def test_once_the_file_is_mended_nothing_is_left_open() -> None:
    """The line is read whole the second time: she was milked, and nothing was hers that could not be read."""
    life = Life(farm())
    rows = [
        row("7", "00:10"),
        row("9", "00:20", box="2"),
        "7;2024-06-03 15:3",
        row("9", "16:05"),
        row("8", "16:10", box="2"),
    ]
    read(life, "16:15", *rows)
    assert [alert.standing for alert in alerts_of_rule(life.store, "late-cow")] == [True]
    rows[2] = row("7", "15:30")
    read(life, "16:20", *rows)

    assert [alert.subject for alert in alerts_of_rule(life.store, "late-cow") if alert.standing] == []


def test_a_whole_file_that_could_not_be_read_may_hold_anybodys_milking() -> None:
    """The export of 12:00 had no titles, the next one is whole: who passed 14 h in between is listed with a doubt."""
    life = Life(farm(LATE.replace("now_over: 18 h", "now_over: 14.1 h")))
    read(life, "11:00", row("7", "00:10"), row("9", "10:50"), row("8", "10:55", box="2"))
    found = batch_of(life.engine.setup, Export("milkings_2.csv", b"Cow,Start\n", moment("12:00")))
    assert found is not None
    life.at("12:00", found)
    read(life, "14:30", row("9", "14:20"), row("8", "14:25", box="2"), file="milkings_3.csv")

    [late] = alerts_of_rule(life.store, "late-cow")
    assert (late.urgency, late.text) == (
        "round",
        f"{SAID} 14 h 15 min; an export could not be read (10:55–12:00)",
    )
    assert not any(late.id in n.alerts for n in pushed(life))


# --- old news ----------------------------------------------------------------------------------------------

FEEDS = """
feed: {name}
files: "{name}_*.csv"
tables:
  {table}: {{{fields}}}
"""


def test_old_exports_at_a_first_start_ring_no_phone() -> None:
    """Half a year after the last row: what would press is shown as it was; three feeds are one alert and one notice."""
    feeds = [
        FEED,
        FEEDS.format(name="boxlog", table="box_log", fields="box: Box, at: At, event: Event"),
        FEEDS.format(name="tank", table="tank", fields="tank: Tank, at: At, temperature_C: Temp"),
    ]
    life = Life(setup_of(LATE + FEED_QUIET, feeds, people=PEOPLE), begin=None)
    at = moment("05:00") + 202 * DAY_S
    found = batch_of(
        life.engine.setup, Export("milkings_1.csv", "\n".join([HEAD, *USUAL, row("7", "00:10")]).encode(), 0)
    )
    assert found is not None
    log = batch("box  at  event\n1  1d05:00  washed", "box_log", feed="boxlog", file="boxlog_1.csv")
    tank = batch("tank  at  temperature_C\n1  1d05:30  4.1", "tank", feed="tank", file="tank_1.csv")
    life.at(at, found, log, tank, kind=TickKind.START)

    quiet = alerts_of_rule(life.store, "feed-quiet")
    assert [(a.subject, bool(a.covered_by), a.listed) for a in quiet] == [
        ("feed:boxlog", False, True), ("feed:milkings", True, False), ("feed:tank", True, False),
    ]  # fmt: skip
    assert quiet[0].text.endswith("Also quiet: tank, milkings")
    others = [one for one in all_alerts(life.store) if one.rule != "feed-quiet"]
    assert {a.rule for a in others} >= {"late-cow"}
    assert all(a.old and a.urgency == "round" for a in others)
    assert [n.alerts for n in pushed(life)] == [(quiet[0].id,)]
    life.at(at + HOUR_S)
    assert len(pushed(life)) == 1
    assert life.told_again == life.alerts


def test_when_the_data_comes_again_what_still_stands_is_news() -> None:
    """A cow that was late when the export stopped, and is late when it goes on, is told of then."""
    life = Life(farm(LATE.replace("now_over: 18 h", "now_over: 15 h") + FEED_QUIET), begin=None)
    read(life, "15:20", row("7", "00:10"), row("8", "13:00"), row("9", "13:40", box="2"))
    read(life, "17:00", row("8", "15:15"), row("9", "15:20", box="2"), file="milkings_2.csv")  # an hour and a half old
    [late] = alerts_of_rule(life.store, "late-cow")
    assert (late.old, late.urgency) == (True, "round")
    assert not any(late.id in n.alerts for n in pushed(life))
    read(life, "17:30", row("8", "17:10"), row("9", "17:20", box="2"), file="milkings_3.csv")
    [late] = alerts_of_rule(life.store, "late-cow")
    assert (late.old, late.urgency) == (False, "now")
    assert [n.kind for n in pushed(life) if late.id in n.alerts] == ["alert"]
    assert life.told_again == life.alerts


# --- what bounds what is known -----------------------------------------------------------------------------

WITH_STAY = FEED.replace("    milk_kg: Milk\n", "    milk_kg: Milk\n    duration_s: {column: Stay, unit: min}\n")


def test_a_cow_that_may_be_standing_in_a_box_is_not_late() -> None:
    """Her visit of 14:09 is written at its end; one that began later at the other box is written before it."""
    life = Life(setup_of(LATE, (WITH_STAY,)))

    def export(when: str, name: str, *rows: tuple[str, str, str, int]) -> None:
        lines = [f"{cow};{day(at)};{box};11,5;done;5,1;5,2;5,0;5,1;{stay}" for cow, at, box, stay in rows]
        found = batch_of(life.engine.setup, Export(name, "\n".join([HEAD + ";Stay", *lines, ""]).encode(), 0))
        assert found is not None
        life.at(when, found)

    export("13:55", "milkings_1.csv", ("7", "00:10", "1", 8), ("8", "13:40", "1", 12), ("9", "13:45", "2", 7))
    export("14:17", "milkings_2.csv", ("8", "14:10", "2", 6))  # cow 7 has been in box 1 since 14:09
    assert alerts_of_rule(life.store, "late-cow") == []
    export("14:21", "milkings_3.csv", ("7", "14:09", "1", 11))
    export("14:40", "milkings_4.csv", ("9", "14:25", "1", 8), ("8", "14:30", "2", 9))
    assert alerts_of_rule(life.store, "late-cow") == []


def test_she_is_late_once_no_visit_of_hers_can_be_under_way() -> None:
    """The same, but she does not come: told when both boxes have been let go after she passed her 14 h."""
    life = Life(setup_of(LATE, (WITH_STAY,)))
    rows = [
        ("7", "00:10", "1", 8),
        ("8", "13:40", "1", 12),
        ("9", "13:45", "2", 7),
        ("8", "14:10", "2", 6),
        ("9", "14:12", "1", 9),
    ]
    lines = [f"{cow};{day(at)};{box};11,5;done;5,1;5,2;5,0;5,1;{stay}" for cow, at, box, stay in rows]
    found = batch_of(life.engine.setup, Export("milkings_1.csv", "\n".join([HEAD + ";Stay", *lines, ""]).encode(), 0))
    assert found is not None
    life.at("14:25", found)

    assert [alert.subject for alert in alerts_of_rule(life.store, "late-cow")] == ["cow:7"]


ARM = """
- rule: arm-offset
  measure: arm_offset_mm
  raise_over: 2 mm
  urgency: round
  say: "Box {box}: {value}"
"""


def test_an_arm_out_of_line_is_told_when_the_visits_show_it() -> None:
    """The box's own log says nothing for hours, as logs do: that holds up neither the arm nor any other rule."""
    life = Life(setup_of(ARM, (FEED, BOX_LOG_FEED)), begin=None)
    head = "cow  start  box  outcome  lf_y_mm"
    usual = [f"{cow}  {d}d{h:02}:{m:02}  {box}  milked  70" for d in range(5) for h in range(0, 24, 3)
             for cow, box, m in (("7", "1", 0), ("8", "2", 10), ("7", "2", 30), ("8", "1", 40))]  # fmt: skip
    log = batch("box  at  event\n1  4d20:00  washed", "box_log", feed="boxlog", file="boxlog_1.csv")
    life.at("4d22:00", batch("\n".join([head, *usual])), log, kind=TickKind.START)
    moved = [
        f"{cow}  5d0{h}:{m:02}  2  milked  {70 + 15}" for h in range(4) for cow, m in (("7", 5), ("8", 25), ("7", 45))
    ]
    life.at("5d03:50", batch("\n".join([head, *moved, "8  5d03:46  1  milked  70"]), file="milkings_2.csv"))

    assert [(a.rule, a.subject) for a in all_alerts(life.store)] == [("arm-offset", "box:2")]


def test_before_the_first_file_of_a_feed_without_a_map_no_box_is_quiet() -> None:
    """The farm's visits come in the open standard, and none has come yet: nothing can be told, live or in replay."""
    life = Life(setup_of(LATE, (), farm=FARM, people=PEOPLE))
    life.at("05:00")

    assert (life.alerts[1:], pushed(life)) == ([], [])
    assert life.told_again == life.alerts


def test_a_rule_that_waits_for_its_feed_is_not_called_blind() -> None:
    """Seven hours without a row of the log: the quiet feed is told, and no rule besides it."""
    blind = """
- rule: cannot-tell
  measure: rule_blind_h
  raise_over: 6 h
  urgency: round
  say: "Rule {rule} could not be judged for {value}"
"""
    life = Life(farm(LATE + FEED_QUIET + blind))
    read(life, "05:00", *USUAL[:2])
    life.at("13:00")

    assert [a.subject for a in alerts_of_rule(life.store, "feed-quiet") if a.standing] == ["feed:milkings"]
    assert [a.rule for a in alerts_of_rule(life.store, "cannot-tell")] == []
