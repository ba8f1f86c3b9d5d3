"""Invariants 1, 3 and 9 over the night in which the clock is put back, with exports in local time without a zone."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from faults.clock.dst_nights import ZONES, Night, nights
from whole.whole_farm import FEED, FEED_QUIET, LATE_COW, Life, setup_of

from sentinel.edges.store.database import fetch
from sentinel.flow.model import Export, TickKind
from sentinel.runtime.ticks import batch_of

ZONE = "Europe/Dublin"
BACK = int(datetime(2026, 10, 25, 1, tzinfo=UTC).timestamp())  # IANA time zone database: from 02:00 to 01:00 there
HOUR_S = 3600
COWS = 30


def export(name: str, cows: dict[int, int], written_at: int, zone: str = ZONE) -> Export:
    """A file of visits, cow by the moment at which she came, in their order and on the farm's clock."""
    lines = [f"{cow},{datetime.fromtimestamp(at, ZoneInfo(zone)):%Y-%m-%d %H:%M},1,milked" for at, cow in cows.items()]
    return Export(name, "\n".join(["Cow,Start,Box,Ended", *lines, ""]).encode(), written_at)


def night(pause_min: int, zone: str = ZONE, change: int = BACK) -> tuple[Life, dict[int, int]]:
    """A farm that has lived through the night by hourly files, each with the visits since the one before; and those."""
    farm = f"name: Tinfield\nzone: {zone}\nboxes: ['1']\n"
    setup = setup_of(LATE_COW.replace("  where: {status: milking}\n", "") + FEED_QUIET, (FEED,), farm)
    life = Life(setup, begin=None)
    life.at(change - 12 * HOUR_S, kind=TickKind.START)
    moments = range(change - 11 * HOUR_S, change + 6 * HOUR_S, 60 * pause_min)
    came = {at: number % COWS + 1 for number, at in enumerate(moments) if not (number % COWS == 4 and at > change)}
    for until in range(change - 10 * HOUR_S, change + 7 * HOUR_S, HOUR_S):
        mine = {at: cow for at, cow in came.items() if until - HOUR_S <= at < until}
        one = batch_of(setup, export(f"milkings_{until}.csv", mine, until + 120, zone))
        assert one is not None
        life.at(until + 120, one)
    return life, came


def visits(life: Life) -> dict[int, int]:
    """What is stored, cow by moment."""
    return {row["start"]: int(row["cow"]) for row in fetch(life.store, "select cow, start from visits order by start")}


@pytest.mark.parametrize("pause_min", [4, 5])
def test_a_busy_herds_hourly_files_are_stored_as_they_were(pause_min: int) -> None:
    """The second pass stands alone in its file, and every visit is there once; the replay of what was known agrees."""
    life, came = night(pause_min)

    assert visits(life) == came
    assert life.told_again == life.alerts


@pytest.mark.parametrize("one", [night for zone in ZONES for night in nights(zone)], ids=lambda one: one.name)
def test_both_nights_of_every_zone_are_stored_as_they_were(one: Night) -> None:
    """North and south, an hour and half an hour, put ahead and put back: each visit once, and nobody is late."""
    life, came = night(5, one.zone, one.at)

    assert visits(life) == came
    assert [row[:2] for row in life.alerts[1:]] == [["feed-quiet", "feed:milkings"]]  # before the first export
    assert life.told_again == life.alerts


def test_a_quiet_herds_hour_waits_until_a_longer_file_tells_it() -> None:
    """Three visits an hour tell nothing by their pace: they wait as possible milkings, until the day's file comes."""
    life, came = night(20)
    waited = {at for at in came if at not in visits(life)}
    assert {at for at in waited if at >= BACK} == {at for at in came if BACK <= at < BACK + HOUR_S}
    assert all(BACK - HOUR_S <= at for at in waited)
    assert visits(life).items() <= came.items()
    unread = fetch(life.store, "select who, begins, ends from unread order by line")
    assert sorted(int(row["who"]) for row in unread) == sorted(came[at] for at in waited)
    assert all(row["ends"] - row["begins"] == HOUR_S for row in unread)
    assert all(any(came.get(row[key]) == int(row["who"]) for key in ("begins", "ends")) for row in unread)

    at = BACK + 8 * HOUR_S
    whole = batch_of(life.engine.setup, export("milkings_day.csv", came, at))
    assert whole is not None
    life.at(at, whole)

    assert visits(life) == came
    life.at(BACK + 30 * HOUR_S)
    assert life.told_again == life.alerts
