"""Which tests are one milk recording: by date, in parts, over a night; and what is none."""

from __future__ import annotations

from text_tables import lines, moment_text, table

from sentinel.flow.measures.cells.milk_recordings import milk_recordings
from sentinel.flow.measures.cells.recording import cow_tests
from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import Tables


def found(text: str, hours: int = 36, share: float = 30.0, zone: str = "UTC") -> list[list[str]]:
    """The recordings among some tests: the day, when each begins, counts from, and no longer takes tests in."""
    tests = table("cow_tests", "cow  at\n" + text)
    recordings = milk_recordings(cow_tests(Tables(cow_tests=tests)), hours * HOUR_S, share, zone)
    return [
        [one.day, moment_text(one.begins), moment_text(one.counts_from), moment_text(one.until)] for one in recordings
    ]


def herd(at: str, cows: range = range(1, 11)) -> str:
    """A test of each cow at one moment."""
    return "".join(f"{cow}  {at}\n" for cow in cows)


def test_a_recording_with_one_date() -> None:
    """Each month is one, named by its day; tests are taken into it until the next, or for 60 days."""
    assert found(herd("06:00") + herd("28d06:00")) == lines("""
        2024-06-03  06:00     06:00     28d06:00
        2024-07-01  28d06:00  28d06:00  88d06:00
        """)


def test_the_day_is_the_farms() -> None:
    """Sampled at half past ten in the evening by UTC is the next day in Berlin in summer."""
    assert [row[0] for row in found(herd("22:30"), zone="Europe/Berlin")] == ["2024-06-04"]


def test_single_cows_in_between_are_no_recording() -> None:
    """Two of ten cows tested by themselves are fewer than 30 %, three are not; they are taken into the one before."""
    assert len(found(herd("06:00") + herd("10d06:00", range(1, 3)) + herd("28d06:00"))) == 2
    assert [row[1] for row in found(herd("06:00") + herd("10d06:00", range(1, 4)))] == ["06:00", "10d06:00"]


def test_a_share_is_of_the_cows_that_are_tested_lately() -> None:
    """After three months without a recording the cows of the last one say nothing of how many there are."""
    assert [row[1] for row in found(herd("06:00") + herd("90d06:00", range(1, 3)))] == ["06:00", "90d06:00"]


def test_sampled_over_a_night_and_a_day() -> None:
    """It counts as soon as enough cows were sampled, and begins with the first; 36 h without a test end it."""
    night = "".join(f"{cow}  {28 + (17 + cow) // 24}d{(17 + cow) % 24:02}:00\n" for cow in range(1, 11))

    assert found(herd("06:00") + night) == lines("""
        2024-06-03  06:00     06:00     28d20:00
        2024-07-01  28d18:00  28d20:00  88d18:00
        """)


def test_groups_that_are_sampled_days_apart() -> None:
    """Two recordings by 36 h; one where the farm says that it takes longer."""
    groups = herd("06:00", range(1, 6)) + herd("3d06:00", range(6, 11))

    assert [row[1] for row in found(groups)] == ["06:00", "3d06:00"]
    assert [row[1] for row in found(groups, hours=80)] == ["06:00"]


def test_no_two_recordings_begin_on_one_day() -> None:
    """Whatever a rule says: tests that lie less than 26 h apart are of one."""
    assert [row[1] for row in found(herd("01:00") + herd("23:00"), hours=1)] == ["01:00"]


def test_cells_counted_at_each_milking_are_no_recording() -> None:
    """Tests that never pause are taken for one at first, and for none after ten days, until there is a pause."""
    daily = "".join(herd(f"{day}d06:00") for day in range(30))

    assert found(daily) == lines("""
        2024-06-03  06:00  06:00  11d06:00
        """)
    assert len(found(daily + herd("40d06:00"))) == 2


def test_nothing() -> None:
    """Without a test there is no recording."""
    assert found("") == []
