"""Known-until of each box: by files of one box each, by files without a new row, and by its own log."""

from __future__ import annotations

from collections.abc import Callable, Collection

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment, moment_text
from whole.whole_farm import BOX_LOG_FEED, FARM, FEED, FEED_QUIET, LATE_COW, Life, alerts, batch, setup_of

from sentinel.flow.model import Batch, Rows, TickKind
from sentinel.runtime.record.replay import on_time

HOUR, DAY = 3600, moment("00:00")
BOX_QUIET = """
- rule: box-quiet
  measure: box_quiet_min
  raise_over: 90 min
  urgency: now
  covered_by: [feed-quiet]
  say: "Box {box}: no cow for {value}"
"""
QUIET_OF = FEED_QUIET.replace("no new rows", "no new rows[ of box {of_box}]")
RULES = LATE_COW + BOX_QUIET + QUIET_OF
LATE = 7
"""The cow that does not come any more after her first milking of the second day."""

Visit = tuple[str, int, str, float, str]


def visits_of(hour: int, box: str, herd: int = 40) -> list[Visit]:
    """The visits at one box in the hour before one: four of forty cows.

    Each cow comes every five hours, to one box and then to the other.
    """
    cows = [cow for cow in range(herd) if cow % 5 == hour % 5 and str(1 + (cow // 5 + hour // 5) % 2) == box]
    cows = [cow for cow in cows if cow != LATE or hour <= 27]
    return [(str(cow), DAY + hour * HOUR - 3000 + 600 * n, box, 400.0, "milked") for n, cow in enumerate(cows)]


def file_of(hour: int, box: str, visits: list[Visit]) -> Batch:
    """One file; without a visit it is empty."""
    columns = ("cow", "start", "box", "duration_s", "outcome")
    rows = (Rows("visits", columns, tuple(visits), tuple(range(2, 2 + len(visits)))),) if visits else ()
    return Batch("milkings", f"milkings_{box}_{hour:03}.csv", rows)


def lived(
    hours: int,
    files: Callable[[int], list[Batch]],
    feeds: tuple[str, ...] = (FEED,),
    starts: Collection[int] = (),
    farm: str = FARM,
) -> Life:
    """A farm lived through; files come two minutes after each hour. Before some of them the service starts anew."""
    life = Life(setup_of(RULES, feeds, farm), begin=None)
    for hour in range(1, hours + 1):
        begins = hour == 1 or hour in starts
        if begins and hour > 1:
            life.restart()
        life.at(DAY + hour * HOUR + 120, *files(hour), kind=TickKind.START if begins else TickKind.RUN)
    return life


def held_up(held: dict[str, Collection[int]], hours: int) -> Callable[[int], list[Batch]]:
    """A file a box each hour, of which some wait for the next one of their box that comes."""

    def files(hour: int) -> list[Batch]:
        came = []
        for box in ("1", "2"):
            if hour in held.get(box, ()) and hour < hours:
                continue
            first = hour
            while first > 1 and first - 1 in held.get(box, ()):
                first -= 1
            came += [file_of(one, box, visits_of(one, box)) for one in range(first, hour + 1)]
        return came

    return files


def late(life: Life) -> set[str]:
    """The cows that were called late."""
    return {row[1] for row in life.alerts[1:] if row[0] == "late-cow"}


def test_while_one_box_s_files_stop_no_cow_is_late_and_the_feed_names_the_box() -> None:
    """She may have been milked there. The other box goes on being watched; what was really so is told afterwards."""
    life = lived(50, held_up({"2": range(30, 47)}, 50))

    quiet = [row for row in life.alerts[1:] if row[0] == "feed-quiet"]
    assert [row[1] for row in quiet] == ["feed:milkings"]
    assert "1d06:00" < quiet[0][2] < "1d10:00"
    assert [row[2] for row in life.alerts[1:] if row[0] == "late-cow"] == ["1d23:02"]
    assert [row for row in life.alerts[1:] if row[0] == "box-quiet"] == []
    assert late(life) == {f"cow:{LATE}"}
    assert life.told_again == life.alerts


def test_a_box_that_stands_is_found_while_the_other_s_files_do_not_come() -> None:
    """Its own empty files say so; the feed's alert on the other box does not cover it."""

    def files(hour: int) -> list[Batch]:
        own = [one for one in held_up({"2": range(13, 35)}, 30)(hour) if "_2_" in one.file]
        return [file_of(hour, "1", visits_of(hour, "1") if hour < 20 else []), *own]

    life = lived(24, files)
    (box,) = (row for row in life.alerts[1:] if row[0] == "box-quiet")
    assert box[1] == "box:1"
    assert "20:30" < box[2] <= "21:02"
    assert life.told_again == life.alerts


@pytest.mark.parametrize("starts", [(), (17, 22)], ids=["without a start", "started anew meanwhile"])
def test_one_box_that_stands_is_told_from_a_feed_that_is_quiet(starts: Collection[int]) -> None:
    """Where empty files go on coming it is the box; where none comes it may be either, and the feed is told."""
    farm = FARM.replace('["1", "2"]', '["1"]')

    def of_one(hour: int) -> list[Visit]:
        visits = [(cow, start, "1", lasts, how) for b in "12" for cow, start, _, lasts, how in visits_of(hour, b)]
        return [] if 19 <= hour <= 24 else visits

    def files(hour: int) -> list[Batch]:
        return [file_of(hour, "all", of_one(hour))]

    def none_empty(hour: int) -> list[Batch]:
        return files(hour) if of_one(hour) else []

    with_empty = lived(27, files, starts=starts, farm=farm)
    without = lived(27, none_empty, starts=starts, farm=farm)

    assert with_empty.alerts == alerts("""
        rule       subject  raised  over     urgency  value
        box-quiet  box:1    20:02   1d01:02  now      120
    """)
    assert [row[:2] for row in without.alerts[1:]] == [["feed-quiet", "feed:milkings"]]
    assert with_empty.told_again == with_empty.alerts
    assert without.told_again == without.alerts
    bulk = on_time(with_empty.store, with_empty.engine.setup)
    assert [(one.rule, moment_text(one.raised_at)) for one in bulk] == [("box-quiet", "19:40")]


def test_files_that_were_held_up_show_of_no_box_that_it_stands() -> None:
    """Six hours' files, empty ones first, that then come one an hour: no box stands, the export was late."""
    farm = FARM.replace('["1", "2"]', '["1"]')

    def files(hour: int) -> list[Batch]:
        told = hour if hour < 13 else hour - 6
        empty = 9 <= told <= 11 and hour >= 15
        visits = [] if empty else [(c, s, "1", d, o) for b in "12" for c, s, _, d, o in visits_of(told, b)]
        return [] if 13 <= hour < 19 else [file_of(told, "all", visits)]

    life = lived(30, files, farm=farm)
    assert {row[0] for row in life.alerts[1:]} == {"feed-quiet"}


def test_a_box_that_says_in_its_log_that_it_stopped_is_known_to_stand() -> None:
    """Without any file of its visits, as far as the log tells."""
    log_feed = BOX_LOG_FEED.replace("wash: washed", "stop: stopped, start: started")

    def files(hour: int) -> list[Batch]:
        own = held_up({"2": range(14, 60)}, 60)(hour)
        rows = "box  at  event\n2  13:05  stopped\n" if hour == 14 else f"box  at  event\n1  {hour:02}:00  washed"
        return [*own, batch(rows, "box_log", feed="boxlog", file=f"boxlog_{hour}.csv")]

    life = lived(23, files, (FEED, log_feed))
    quiet = [row for row in life.alerts[1:] if row[0] == "box-quiet"]
    assert [row[1] for row in quiet] == ["box:2"]
    assert life.told_again == life.alerts


SPAN = st.builds(lambda begin, hours: range(begin, begin + hours), st.integers(8, 14), st.integers(1, 20))


@settings(max_examples=3, deadline=None)
@given(
    held=st.dictionaries(st.sampled_from("12"), SPAN, min_size=1, max_size=2),
    starts=st.sets(st.integers(10, 34), max_size=2),
)
def test_whatever_files_of_one_box_come_late_no_cow_is(held: dict[str, range], starts: set[int]) -> None:
    """All came every five hours, to one box and then the other. No box is said to stand; a replay tells the same."""
    life = lived(36, held_up(held, 36), starts=starts)

    assert [row for row in life.alerts[1:] if row[0] != "feed-quiet"] == []
    assert life.told_again == life.alerts
