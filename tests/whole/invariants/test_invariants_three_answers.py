"""Invariant 7: a rule holds, is clear, or cannot be told; what cannot be told neither raises nor ends an alert."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from text_tables import moment_text
from whole.whole_farm import BOX_LOG_FEED, FEED, LATE_COW, Life, alerts, batch, setup_of

from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.log import log_entries
from sentinel.flow.measures.boxes.upkeep import BOX_QUIET_MIN

RATIO = """
- rule: ratio
  measure: conductivity_ratio
  raise_over: 1.2 ratio
  clear_under: 1.1 ratio
  urgency: round
  say: "Cow {cow}, {quarter}: {value}"
"""

BOX_QUIET = """
- rule: box-quiet
  measure: box_quiet_min
  raise_over: 90 min
  urgency: now
  say: "Box {box}: {value}"
"""

CANNOT_TELL = """
- rule: cannot-tell
  measure: rule_blind_h
  raise_over: 6 h
  urgency: round
  say: "{rule}: {value}"
"""

HEAD = "cow  start  box  outcome  lf_conductivity_mS_cm  rf_conductivity_mS_cm  lr_conductivity_mS_cm\n"


def milking(start: str, lf: str, rf: str = "5.0", lr: str = "5.0") -> str:
    """One milking's readings."""
    return f"{HEAD}7  {start}  1  milked  {lf}  {rf}  {lr}"


def test_a_reading_that_cannot_be_judged_raises_nothing() -> None:
    """With two quarters read there is no ratio."""
    life = Life(setup_of(RATIO))
    life.at("06:00", batch(milking("05:00", "9.0", "-")))

    assert life.log("raised") == []


def test_a_reading_that_cannot_be_judged_ends_nothing() -> None:
    """The alert stands with the last figures that told something, and ends with the next good reading."""
    life = Life(setup_of(RATIO))
    life.at("06:00", batch(milking("05:00", "6.5")))
    life.at("16:00", batch(milking("15:00", "9.0", "-"), file="milkings_2.csv"))
    [alert] = all_alerts(life.store)
    assert (alert.standing, alert.value, alert.facts["conductivity"]) == (True, 1.3, 6.5)

    life.at("20:00", batch(milking("19:00", "5.75"), file="milkings_3.csv"))  # between the bounds: as it was
    assert life.log("over") == []

    life.at("23:00", batch(milking("22:00", "5.0"), file="milkings_4.csv"))
    assert life.log("raised", "over") == ["06:00 raised ratio quarter:7/LF", "23:00 over ratio quarter:7/LF"]


def test_past_known_until_an_alert_neither_comes_nor_goes() -> None:
    """A late cow stays late while the export is missing, and nobody else becomes late."""
    life = Life(setup_of(LATE_COW))
    life.at("05:00", batch("cow  start  box  outcome\n7  05:00  1  milked\n8  04:00  1  milked"))
    life.at("18:30", batch("cow  start  box  outcome\n9  18:30  1  milked", file="milkings_2.csv"))
    life.at("1d12:00")

    assert life.alerts == alerts("""
        rule      subject  raised  over  urgency  value
        late-cow  cow:8    18:30   -     round    14.5
    """)


@pytest.fixture
def broken_below_ten(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """A measure with a fault: it fails while the newest visit is of box 9."""
    failed: list[str] = []
    real = BOX_QUIET_MIN.compute

    def compute(tables, per, options):  # type: ignore[no-untyped-def]
        if len(tables.visits) and tables.visits["box"].iloc[-1] == "9":
            failed.append(moment_text(tables.visits["start"].iloc[-1]))
            raise ZeroDivisionError("box 9")
        return real(tables, per, options)

    object.__setattr__(BOX_QUIET_MIN, "compute", compute)
    yield failed
    object.__setattr__(BOX_QUIET_MIN, "compute", real)


def test_a_failure_inside_a_measure_is_a_problem_told_once_and_no_match(broken_below_ten: list[str]) -> None:
    """The standing alert neither ends nor comes again; the others go on; when it works again it is decided again."""
    life = Life(setup_of(BOX_QUIET + LATE_COW))
    life.at("02:00", batch("cow  start  box  outcome\n7  02:00  1  milked"))
    life.at("02:10", batch("cow  start  box  outcome\n7  02:10  9  failed", file="milkings_2.csv"))
    life.at("02:20", batch("cow  start  box  outcome\n8  02:20  9  failed", file="milkings_3.csv"))
    life.at("17:00", batch("cow  start  box  outcome\n8  17:00  9  milked", file="milkings_4.csv"))
    life.at("17:10", batch("cow  start  box  outcome\n8  17:10  2  milked", file="milkings_5.csv"))

    assert len(broken_below_ten) >= 3
    assert life.log("problem") == ["02:10 problem"]
    [problem] = log_entries(life.store, kind="problem")
    assert "box-quiet could not be decided: ZeroDivisionError: box 9" in problem.entry.body["said"]
    assert life.log("raised", "over", "again") == [
        "02:00 raised box-quiet box:2",
        "17:00 raised late-cow cow:7",
        "17:10 raised box-quiet box:1",
        "17:10 over box-quiet box:2",
    ]


def test_a_rule_that_cannot_be_told_for_too_long_is_told(broken_below_ten: list[str]) -> None:
    """Six hours after it could last be decided; over as soon as it can be again."""
    life = Life(setup_of(BOX_QUIET + CANNOT_TELL))
    life.at("02:00", batch("cow  start  box  outcome\n7  02:00  1  milked\n7  01:50  2  milked"))
    life.at("02:30", batch("cow  start  box  outcome\n7  02:30  9  milked", file="milkings_2.csv"))
    life.at("08:30", batch("cow  start  box  outcome\n8  08:30  9  milked", file="milkings_3.csv"))
    life.at("08:40", batch("cow  start  box  outcome\n8  08:40  1  milked", file="milkings_4.csv"))
    life.at("08:41")

    assert broken_below_ten
    assert [one for one in life.log("raised", "over") if "cannot-tell" in one] == [
        "08:00:01 raised cannot-tell rule:box-quiet",
        "08:40:01 over cannot-tell rule:box-quiet",
    ]


def test_a_rule_that_fails_from_the_start_is_told_too(broken_below_ten: list[str]) -> None:
    """Also when it never worked once."""
    life = Life(setup_of(BOX_QUIET + CANNOT_TELL), begin=None)
    life.at("00:10", batch("cow  start  box  outcome\n7  00:10  9  milked"))
    life.at("07:00", batch("cow  start  box  outcome\n7  07:00  9  milked", file="milkings_2.csv"))

    assert broken_below_ten
    assert [one for one in life.log("raised") if "cannot-tell" in one] == ["06:10:01 raised cannot-tell rule:box-quiet"]


def test_a_quiet_farm_whose_rules_need_no_feed_is_not_blind() -> None:
    """A rule without a feed is decided at every look, however long ago the last one was."""
    life = Life(setup_of(CANNOT_TELL + BOX_QUIET, ()))
    life.at("23:00")
    life.at("2d23:00")

    assert [one for one in life.log("raised") if "cannot-tell" in one] == []


def test_a_feed_that_has_given_nothing_yet_makes_its_rules_unknown() -> None:
    """With a box log that never came, the filter is neither overdue nor changed in time."""
    rule = """
- rule: filter-overdue
  measure: hours_since_filter
  raise_over: 9 h
  urgency: round
  say: "Box {box}: {value}"
"""
    life = Life(setup_of(rule, (FEED, BOX_LOG_FEED)))
    life.at("20:00", batch("cow  start  box  outcome\n7  20:00  1  milked"))
    assert life.log("raised") == []

    life.at("20:10", batch("box  at  event\n1  20:05  washed", "box_log", feed="boxlog", file="boxlog_1.csv"))
    assert life.log("raised") == ["20:10 raised filter-overdue box:1", "20:10 raised filter-overdue box:2"]
