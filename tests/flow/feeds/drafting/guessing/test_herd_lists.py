"""What the days of a list say of each other, and whether rows are readings."""

from __future__ import annotations

from datetime import date, timedelta

from sentinel.flow.feeds.drafting.guessing.herd_lists import days_before, readings, since_when
from sentinel.flow.feeds.drafting.sample.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample

ROWS = 40
BEGIN = date(2026, 5, 4)


def profiles(**columns: list[str]) -> list[Profile]:
    """What some columns hold."""
    sample = Sample("delimited", tuple(columns), tuple(tuple(cells) for cells in columns.values()))
    return [profiled(Source(title, tuple(cells)), sample) for title, cells in columns.items()]


def days(from_day: int, step: int) -> list[str]:
    """A day for each row."""
    return [str(BEGIN + timedelta(days=from_day + n * step % 200)) for n in range(ROWS)]


CLOCKS = [f"{5 + n % 16:02d}:{n * 7 % 60:02d}:{n * 11 % 60:02d}" for n in range(ROWS)]


def test_a_birth_and_what_is_to_come_are_no_calving() -> None:
    """Births lie years before the other days, calvings that are expected after the newest moment; one day is left."""
    moments = [f"{BEGIN} {clock}" for clock in CLOCKS]
    told = list(days_before(profiles(a=days(-1500, 7), b=days(-200, 3), c=days(100, 5), at=moments)))

    assert {(one.title, one.weight < 0) for one in told if one.field == "calved_on"} == {
        ("a", True),
        ("b", False),
        ("c", True),
    }


def test_a_day_and_days_that_add_up_to_one_day_are_a_calving_and_the_days_in_milk() -> None:
    """The day that they add up to is that of the list."""
    ago = [10 + n * 7 % 300 for n in range(ROWS)]
    calved = [str(BEGIN - timedelta(days=n)) for n in ago]
    told = list(days_before(profiles(zq=calved, other=days(-90, 3), n=[str(n) for n in ago])))

    assert {(one.field, one.title) for one in told if one.weight > 5} == {("calved_on", "zq")}
    assert {(one.field, one.title) for one in told if one.weight < -5} == {("lactation", "n")}


def test_a_day_with_a_time_of_day_is_since_when_a_row_is_true() -> None:
    """The one that is called a day, else the only one that is called nothing; none where several are."""
    born, since = days(-1500, 7), days(-60, 1)

    def told(**columns: list[str]) -> list[tuple[str, str, str]]:
        return [(one.table, one.field, one.title) for one in since_when(profiles(**columns))]

    assert told(born=born, date=since, clock=CLOCKS) == [("cows", "from", "date")]
    assert told(born=born, zzq=since, clock=CLOCKS) == [("cows", "from", "zzq")]
    assert told(zzk=born, zzq=since, clock=CLOCKS) == []
    assert told(born=born, date=since) == []


def test_many_cows_on_each_of_a_few_days_were_tested_then() -> None:
    """As a recording has a time of day for each cow too."""
    tested = [str(BEGIN + timedelta(days=30 * (n // 20))) for n in range(ROWS)]

    assert [(one.table, one.field) for one in since_when(profiles(date=tested, clock=CLOCKS))] == [("cow_tests", "at")]


def test_readings_follow_each_other_at_regular_steps() -> None:
    """Calvings and visits do not."""
    hours = [f"{BEGIN + timedelta(days=n // 4)} {n % 4 * 6:02d}:00:00" for n in range(ROWS)]
    visits = [f"{BEGIN + timedelta(days=n // 4)} {n % 4 * 6:02d}:{n * n * 7 % 60:02d}:00" for n in range(ROWS)]

    assert readings(profiles(at=hours))
    assert not readings(profiles(at=visits))
    assert not readings(profiles(day=days(-200, 3)))
