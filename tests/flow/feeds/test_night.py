"""The hour that a clock change repeats: rows are stored as they truly were, or wait as doubtful; never an hour off.

The clock changes of 2026 by the IANA time zone database: Dublin on 25 October at 01:00 UTC and New York on 1 November
at 06:00 UTC are put back an hour, Sydney and Lord Howe on 4 April at 16:00 and 15:00 UTC an hour and half an hour; the
other changes put the clock forward. `test_the_nights_are_those_of_the_clock_changes` compares.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.feeds import FeedMap, load_feed_map, read_export
from sentinel.flow.feeds.night import Heard, Written, passes
from sentinel.flow.model import Batch, Export
from sentinel.simulator import HerdSpec, simulate
from sentinel.simulator.exports.arrivals import DELAY_S
from sentinel.simulator.local_time import LocalTime

HOUR_S, MIN_S = 3600, 60


def _utc(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp())


BACK = {
    "Europe/Dublin": (_utc("2026-10-25 01:00"), HOUR_S),
    "America/New_York": (_utc("2026-11-01 06:00"), HOUR_S),
    "Australia/Sydney": (_utc("2026-04-04 16:00"), HOUR_S),
    "Australia/Lord_Howe": (_utc("2026-04-04 15:00"), HOUR_S // 2),
}
"""By zone: when the clock is put back in 2026, and by how much."""

FORWARD = {
    "Europe/Dublin": (_utc("2026-03-29 01:00"), -HOUR_S),
    "America/New_York": (_utc("2026-03-08 07:00"), -HOUR_S),
    "Australia/Sydney": (_utc("2026-10-03 16:00"), -HOUR_S),
    "Australia/Lord_Howe": (_utc("2026-10-03 15:30"), -HOUR_S // 2),
}

MAP = """\
feed: milkings
files: "*"
times: "%Y-%m-%d %H:%M:%S"
pace: {pace}
tables: {{visits: {{cow: Cow, start: Start, box: Box}}}}
"""


def feed_of(pace: str) -> FeedMap:
    """The map of a feed that comes so often."""
    feed, problems = load_feed_map(MAP.format(pace=pace), "m.yaml")
    assert problems == []
    assert feed is not None
    return feed


FEEDS = {pace: feed_of(pace) for pace in ("hourly", "daily")}


def line(cow: int, at: int, zone: str) -> str:
    """A visit as the export writes it, in local time without a zone."""
    return f"{cow},{datetime.fromtimestamp(at, ZoneInfo(zone)):%Y-%m-%d %H:%M:%S},1\n"


def read(lines: Sequence[str], zone: str, written_at: int, pace: str = "daily", done: int = 0) -> Batch:
    """A file of these lines, of which `done` were read before."""
    head = "Cow,Start,Box\n"
    content = (head + "".join(lines)).encode()
    read_from = len((head + "".join(lines[:done])).encode()) if done else 0
    return read_export(FEEDS[pace], Export("m.csv", content, written_at, read_from), zone)


def stored(batch: Batch, true: Sequence[int]) -> set[int]:
    """The cows whose visits were stored: all as they truly were, and those that wait may be as they truly were."""
    starts = {int(row[0]): row[1] for rows in batch.rows for row in rows.values}
    assert starts == {cow: true[cow] for cow in starts}
    for one in batch.set_aside:
        assert one.begin is not None
        assert one.end is not None
        assert one.begin <= true[int(one.who)] <= one.end
        assert (one.tab, one.box) == ("visits", "1")
    return set(starts)


def test_the_nights_are_those_of_the_clock_changes() -> None:
    """A second before and at the moment the offsets differ by what is said here."""
    for zone, (at, back_s) in [*BACK.items(), *FORWARD.items()]:
        before, after = (datetime.fromtimestamp(one, ZoneInfo(zone)).utcoffset() for one in (at - 1, at))
        assert before is not None
        assert after is not None
        assert before - after == timedelta(seconds=back_s), zone


changes = st.sampled_from([*BACK.items(), *BACK.items(), *FORWARD.items()])
minutes = st.lists(st.integers(-150, 150), min_size=1, max_size=40, unique=True).map(sorted)


@settings(max_examples=300, deadline=None)
@given(changes, minutes, st.data())
def test_any_split_of_a_night_stores_every_visit_as_it_was_or_lets_it_wait(
    change: tuple[str, tuple[int, int]], at_minutes: list[int], data: st.DataObject
) -> None:
    """Whatever visits a file holds, forwards or backwards, and whenever after its last one it was written."""
    zone, (at, _) = change
    true = [at + minute * MIN_S for minute in at_minutes]
    chosen = sorted(data.draw(st.sets(st.sampled_from(range(len(true))), min_size=1)))
    written_at = true[chosen[-1]] + data.draw(st.sampled_from([0, 60, 900, 3600, 7200, 86400]))
    order = chosen[::-1] if data.draw(st.booleans()) else chosen

    batch = read([line(cow, true[cow], zone) for cow in order], zone, written_at)

    done = stored(batch, true)
    assert done | {int(one.who) for one in batch.set_aside} == set(chosen)


@settings(max_examples=200, deadline=None)
@given(changes, minutes, st.data())
def test_a_file_that_grows_through_the_night_is_told_by_its_end(
    change: tuple[str, tuple[int, int]], at_minutes: list[int], data: st.DataObject
) -> None:
    """Read in parts, each as it is appended: the last reading tells what the whole file does; none is an hour off."""
    zone, (at, _) = change
    true = [at + minute * MIN_S for minute in at_minutes]
    lines = [line(cow, one, zone) for cow, one in enumerate(true)]
    cuts = sorted(data.draw(st.sets(st.integers(1, len(lines)))) | {len(lines)})
    done, kept = 0, set()
    for cut in cuts:
        batch = read(lines[:cut], zone, true[cut - 1], done=done)
        kept |= stored(batch, true)
        done = cut

    whole = read(lines, zone, true[-1])
    assert kept >= stored(whole, true)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from([*BACK.items()]), minutes, st.data())
def test_rows_of_several_boxes_out_of_order_are_never_an_hour_off(
    change: tuple[str, tuple[int, int]], at_minutes: list[int], data: st.DataObject
) -> None:
    """Each row up to just under half of the hour behind one that was later, in a file that shows no order elsewhere."""
    zone, (at, back_s) = change
    true = [at + minute * MIN_S for minute in at_minutes if abs(minute) * MIN_S <= back_s]
    late = [data.draw(st.integers(0, back_s // 2 - 1)) for _ in true]
    order = sorted(range(len(true)), key=lambda cow: true[cow] + late[cow])

    batch = read([line(cow, true[cow], zone) for cow in order], zone, at + 86400)

    stored(batch, true)


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from([*BACK.items()]),
    st.lists(st.integers(1, 40), min_size=30, max_size=300),
    st.integers(0, 59),
    st.integers(5, 300),
)
def test_hourly_news_of_a_herd_is_stored_as_it_was_or_waits(
    change: tuple[str, tuple[int, int]], pauses: list[int], minute: int, delay_s: int
) -> None:
    """Each file holds what came since the one before, at whatever minute it is written; nothing is doubled."""
    zone, (at, _) = change
    true = [at - 6 * HOUR_S]
    for pause in pauses:
        true.append(true[-1] + pause * MIN_S)
    for until in range(at - 6 * HOUR_S + minute * MIN_S, true[-1] + HOUR_S, HOUR_S):
        chosen = [cow for cow, one in enumerate(true) if until - HOUR_S <= one < until]
        if chosen:
            stored(read([line(cow, true[cow], zone) for cow in chosen], zone, until + delay_s, "hourly"), true)


@pytest.mark.parametrize(
    "minutes",
    [
        range(-60, -50),  # a herd in the boxes for ten minutes, and then at grass
        [-24, -23, -22, -2, 18, 19, 20, 22, 24, 25, 32],
        [-39, 1, 4, 5, 8, 9, 10, 11, 18, 19, 20],
    ],
)
def test_a_silence_is_not_filled_with_rows_after_the_writing_or_out_of_order(minutes: Sequence[int]) -> None:
    """A pass that would do that is no likelier than that the cows stayed away."""
    at, _ = BACK["Europe/Dublin"]
    true = [at + minute * MIN_S for minute in minutes]
    lines = [line(n, one, "Europe/Dublin") for n, one in enumerate(true)]
    until = max(at, true[-1] + MIN_S)

    stored(read(lines, "Europe/Dublin", until + DELAY_S, "hourly"), true)


@pytest.mark.parametrize("zone", BACK)
def test_hourly_exports_over_the_autumn_night_of_a_simulated_herd(zone: str) -> None:
    """Every file by itself, the second pass alone in one of them: every visit is stored as it was, or waits. Where the
    clock is put back by an hour none waits, and none in spring.
    """
    for (at, back_s), year in [(BACK[zone], "autumn"), (FORWARD[zone], "spring")]:
        local = LocalTime(zone)
        first = local.wall(at - 8 * 86400).date()
        herd = simulate(HerdSpec(120, 2, 11, 1, zone, first))
        true = herd.tables.visits["start"].tolist()
        near = [n for n, one in enumerate(true) if at - 6 * HOUR_S <= one < at + 6 * HOUR_S]
        done, waits = set(), 0
        for until in range(at - 5 * HOUR_S, at + 7 * HOUR_S, HOUR_S):
            chosen = [n for n in near if until - HOUR_S <= true[n] < until]
            batch = read([line(n, true[n], zone) for n in chosen], zone, until + DELAY_S, "hourly")
            done |= stored(batch, true)
            waits += len(batch.set_aside)
        assert len(done) + waits == len(near)
        assert len(near) > 100
        if year == "spring" or back_s == HOUR_S:
            assert waits == 0, (zone, year)


def test_the_second_pass_alone_in_its_file_is_told_by_when_it_was_written() -> None:
    """At 02:05 after the change a busy hour that ends at 01:58 is the second pass, at 01:05 the first."""
    at, _ = BACK["Europe/Dublin"]
    second = [at + minute * MIN_S for minute in range(2, 60, 4)]
    first = [one - HOUR_S for one in second]

    for true in (first, second):
        lines = [line(n, one, "Europe/Dublin") for n, one in enumerate(true)]
        batch = read(lines, "Europe/Dublin", true[-1] + 420, "hourly")
        assert stored(batch, true) == set(range(len(true)))


def test_what_was_written_long_after_does_not_tell_by_its_pace() -> None:
    """A file copied in the morning, of a feed that comes daily, or with three rows only: its rows wait."""
    at, _ = BACK["Europe/Dublin"]
    true = [at + minute * MIN_S for minute in range(2, 60, 4)]
    lines = [line(n, one, "Europe/Dublin") for n, one in enumerate(true)]

    assert stored(read(lines, "Europe/Dublin", at + 6 * HOUR_S, "hourly"), true) == set()
    assert stored(read(lines, "Europe/Dublin", at + 3900, "daily"), true) == set()
    assert stored(read(lines[-3:], "Europe/Dublin", at + 3900, "hourly"), true) == set()


def test_a_file_whose_name_says_another_time_than_the_folder_does_not_tell_by_its_pace() -> None:
    """The first pass copied anew an hour later looks like the second; its name says when it was made."""
    heard = [Heard(second - HOUR_S, second) for second in range(7320, 10800, 240)]

    assert passes(heard, Written(10900, (10800,), True)) == [True] * len(heard)
    assert passes(heard, Written(10900, (7200,), True)) == [None] * len(heard)
