"""How a cow's four quarters stand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment
from view_farm import AT, rows

from sentinel.flow.views.parts.cow_weeks import visits_of
from sentinel.flow.views.parts.udder import Udder, udder_of, with_alerts

HEAD = (
    "cow  start  box  outcome  milk_kg  lf_conductivity_mS_cm  rf_conductivity_mS_cm  lr_conductivity_mS_cm  "
    "rr_conductivity_mS_cm  lf_milk_kg  rf_milk_kg  lr_milk_kg  rr_milk_kg  rr_kicked_off\n"
)


def milking(start: str, rr: str = "5.0", rr_kg: str = "3", outcome: str = "milked", off: str = "0") -> str:
    """A milking of cow 7; the other three quarters are as always."""
    return f"7  {start}  1  {outcome}  12  5.0  5.1  4.9  {rr}  2  3  4  {rr_kg}  {off}"


BEFORE = [milking(f"{day}d{hour:02}:00") for day in range(-4, 1) for hour in (2, 10, 18)]


def udder(*lines: str) -> Udder:
    """Her udder at noon after these milkings."""
    tables = rows(visits=HEAD + "\n".join(lines))
    found = udder_of("7", visits_of("7", tables, AT), tables, AT)
    assert found is not None
    return found


def test_each_quarter_stands_against_its_own_usual() -> None:
    """Conductivity as the rule on quarters sees it, and its part of the milk; in the order of the udder."""
    found = udder(*BEFORE, milking("1d02:00"), milking("1d10:00", rr="6.0", rr_kg="1"))
    last = found.quarters[3]

    assert [one.quarter for one in found.quarters] == ["LF", "RF", "LR", "RR"]
    assert (found.at, found.cut_short) == (moment("1d10:00"), False)
    assert (last.conductivity, last.fault, round(last.usual or 0, 2), round(last.rise_pct or 0)) == (6.0, "", 5.0, 20)
    assert (round(last.share_pct or 0), round(last.usual_share_pct or 0)) == (10, 25)
    assert [round(one.rise_pct or 0) for one in found.quarters[:3]] == [0, 0, 0]
    assert last.course[-2:] == (5.0, 6.0)
    assert len(last.course) == 14


def test_a_milking_that_was_cut_short_is_not_compared() -> None:
    """A cup that came off gives no reading that counts, and shares of part of the milk say nothing."""
    off = udder(*BEFORE, milking("1d10:00", rr="6.0", off="1"))
    short = udder(*BEFORE, milking("1d10:00", outcome="incomplete"))

    assert (off.cut_short, off.quarters[3].fault, off.quarters[3].rise_pct) == (True, "cup_off", None)
    assert off.quarters[3].course[-1] is None
    assert [one.share_pct for one in (*off.quarters, *short.quarters)] == [None] * 8
    assert short.cut_short


def test_why_nothing_is_told_of_a_quarter_is_a_code() -> None:
    """Nothing read, an impossible reading, or too few milkings to know what is usual."""
    assert udder(*BEFORE, milking("1d10:00", rr="-")).quarters[3].fault == "no_reading"
    assert udder(*BEFORE, milking("1d10:00", rr="0")).quarters[3].fault == "impossible"
    few = udder(milking("1d02:00"), milking("1d10:00")).quarters[3]
    assert (few.fault, few.conductivity, few.usual_share_pct) == ("too_few", 5.0, None)


def test_without_a_milking_in_two_weeks_there_is_nothing_to_show() -> None:
    """Nor where no quarter was ever read."""
    old = rows(visits=HEAD + milking("-20d10:00"))
    none = rows(visits="cow  start  box  outcome  milk_kg\n7  1d10:00  1  milked  12")

    assert udder_of("7", visits_of("7", old, AT), old, AT) is None
    assert udder_of("7", visits_of("7", none, AT), none, AT) is None


def test_what_stands_on_a_quarter_is_marked() -> None:
    """That quarter alone."""
    found = with_alerts(udder(*BEFORE), {"RR": 17, "": 3}, {})

    assert [one.alert for one in found.quarters] == [None, None, None, 17]
    assert replace(found.quarters[3], alert=None) == udder(*BEFORE).quarters[3]


def test_what_came_after_the_moment_is_not_seen() -> None:
    """The page of an alert that is over shows her as she was then."""
    tables = rows(visits=HEAD + "\n".join([*BEFORE, milking("1d10:00", rr="6.0")]))
    then = moment("00:30") + 86400

    found = udder_of("7", visits_of("7", tables, then), tables, then)
    assert found is not None
    assert (found.at, found.quarters[3].conductivity) == (moment("18:00"), 5.0)


def test_a_quarter_with_an_alert_is_compared_with_what_was_usual_at_its_raise() -> None:
    """As its alert says it; the others with what is usual now."""
    now = udder(*BEFORE)
    read = next(one.conductivity for one in now.quarters if one.quarter == "RR")
    assert read is not None
    found = {one.quarter: one for one in with_alerts(now, {"RR": 17}, {"RR": read / 1.25}).quarters}

    assert (found["RR"].usual, found["RR"].rise_pct) == (read / 1.25, pytest.approx(25.0))
    assert [found[one.quarter] for one in now.quarters[:3]] == list(now.quarters[:3])
