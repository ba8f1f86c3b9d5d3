"""When the week's notice on the herd goes out: at the time of the week that a person asked for, once."""

from __future__ import annotations

from flow.notices.small_days import ZONE, at, clock, desk, person

from sentinel.flow.model import DAY_S, HOUR_S, Notice
from sentinel.flow.notices.regular.week_times import HERD_WEEK, herd_week_due, next_herd_week
from sentinel.flow.settings.people import Person, WeekTime

MONDAY = WeekTime("Monday 07:00", 0, 7 * 60)
MARIT = person("Marit", herd_week=MONDAY)
FARM = desk(MARIT)


def test_it_is_due_at_its_time_of_the_week_and_once() -> None:
    """Up to two hours late if nobody looked in time, not again when it was sent, and not on a Tuesday."""
    sent = [Notice(at("07:00"), "Marit", HERD_WEEK, "", "", "round")]

    assert not herd_week_due(at("06:59"), FARM, MARIT, (), at("06:00"))
    assert herd_week_due(at("07:00"), FARM, MARIT, (), at("06:00"))
    assert herd_week_due(at("09:00"), FARM, MARIT, (), at("06:00"))
    assert not herd_week_due(at("07:05"), FARM, MARIT, sent, at("06:00"))
    assert not herd_week_due(at("07:05"), FARM, MARIT, (), at("07:00"))
    assert not herd_week_due(at("07:00", "2026-05-05"), FARM, MARIT, (), at("06:00", "2026-05-05"))


def test_a_farm_that_was_down_for_days_is_not_told_late() -> None:
    """Nor on the Thursday after, nor at the very first tick; somebody else's notice is not theirs."""
    others = [Notice(at("07:00"), "Onno", HERD_WEEK, "", "", "round")]

    assert not herd_week_due(at("09:01"), FARM, MARIT, (), at("06:00"))
    assert not herd_week_due(at("07:00", "2026-05-07"), FARM, MARIT, (), at("06:00", "2026-05-01"))
    assert not herd_week_due(at("07:00"), FARM, MARIT, (), None)
    assert herd_week_due(at("07:00"), FARM, MARIT, others, at("06:00"))


def test_who_did_not_ask_is_sent_none_and_hours_hold_as_for_worklists() -> None:
    """Onno did not ask; Wiebe is never told anything."""
    never = person("Wiebe", herd_week=MONDAY, round="never")

    for one in (person("Onno"), never):
        assert not herd_week_due(at("07:00"), FARM, one, (), at("06:00"))
        assert next_herd_week(at("07:00"), FARM, one) is None


def test_the_next_is_a_week_later_on_the_farms_clock_over_both_clock_changes() -> None:
    """23 and 25 hours short or long; an hour that is skipped counts as later, one that comes twice the first time."""
    night = person("Marit", herd_week=WeekTime("Su 02:30", 6, 150))

    def gaps(of: Person, start: int, weeks: int) -> list[tuple[str, int]]:
        found, moment = [], start
        for _ in range(weeks):
            following = next_herd_week(moment, FARM, of)
            assert following is not None
            found.append((clock(following), following - moment))
            moment = following
        return found

    monday = at("07:00", "2026-03-23")
    assert gaps(MARIT, monday, 2) == [("30. 07:00", 7 * DAY_S - HOUR_S), ("6. 07:00", 7 * DAY_S)]
    sunday = at("02:30", "2026-03-22")
    assert gaps(night, sunday, 2) == [("29. 03:30", 7 * DAY_S), ("5. 02:30", 7 * DAY_S - HOUR_S)]
    autumn = at("02:30", "2026-10-18")
    assert gaps(night, autumn, 2) == [("25. 02:30", 7 * DAY_S), ("1. 02:30", 7 * DAY_S + HOUR_S)]
    assert ZONE == "Europe/Berlin"


def test_in_a_night_in_which_an_hour_comes_twice_it_is_sent_once() -> None:
    """Asked at every quarter of an hour, with what was sent before."""
    night = person("Marit", herd_week=WeekTime("Su 02:30", 6, 150))
    start = at("2026-10-25T00:00")
    sent: list[Notice] = []
    for n in range(24):
        now, since = start + n * 900, start + (n - 1) * 900
        if herd_week_due(now, FARM, night, sent, since):
            sent.append(Notice(now, "Marit", HERD_WEEK, "", "", "round"))

    assert [clock(notice.at) for notice in sent] == ["25. 02:30"]
