"""What files show besides their rows: whose each is, and that one without new rows was written all the same."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from text_tables import moment, moment_text

from sentinel.flow.evaluation.feed_files import FeedFiles, FileCame, FilesOfFeed

DAY = moment("00:00")
HOUR = 3600


def came(at: str | int, name: str, *visits: tuple[str, str | int, int]) -> FileCame:
    """A file of some visits: per box the newest one and their number."""
    boxes = {box: (_at(newest), number) for box, newest, number in visits}
    known = max((newest for newest, _ in boxes.values()), default=None)
    return FileCame(_at(at), name, known, not boxes, boxes)


def _at(when: str | int) -> int:
    return moment(when) if isinstance(when, str) else when


def shown(files: Iterable[FileCame]) -> FeedFiles:
    """What files show."""
    feed = FilesOfFeed()
    for file in files:
        feed.add(file)
    return feed.found()


def every_hour(*boxes: str, until: int = 8, name: str = "visits_{box}_{hour:02}00.csv") -> list[FileCame]:
    """A file of each box at two minutes past each hour from 01:00 on, with its last visit twelve minutes before."""
    return [
        came(DAY + hour * HOUR + 120, name.format(box=box, hour=hour), (box, DAY + hour * HOUR - 600, 5))
        for hour in range(1, until + 1)
        for box in boxes
    ]


def both_every_hour(until: int = 8) -> list[FileCame]:
    """One file of both boxes at two minutes past each hour."""
    return [
        came(DAY + h * HOUR + 120, f"{h:02}.csv", ("1", DAY + h * HOUR - 600, 5), ("2", DAY + h * HOUR - 900, 5))
        for h in range(1, until + 1)
    ]


def test_files_that_are_each_of_one_box_tell_of_that_box_alone() -> None:
    """Box 2 is known as far as its own files come."""
    files = [*every_hour("1", "2"), *every_hour("1", until=12)[8:]]

    boxes = shown(files).boxes
    assert {box: moment_text(one.known_until) for box, one in boxes.items()} == {"1": "11:50", "2": "07:50"}


def test_a_file_of_all_boxes_tells_of_those_that_it_does_not_name() -> None:
    """Where nobody came to box 2, only that is shown; so it is of files with one visit each, as nothing tells."""
    files = [*both_every_hour(), *every_hour("1", until=40)[8:]]
    one_each = [came(DAY + n * 600, f"{n}.json", (str(n % 2), DAY + n * 600 - 60, 1)) for n in range(200)]

    assert shown(files).boxes == {}
    assert shown(one_each).boxes == {}


def test_one_file_of_both_undoes_what_was_told_from_the_names() -> None:
    """From then on it takes as many files of one box each again."""
    mixed = came("09:02", "all.csv", ("1", "08:50", 9), ("2", "08:51", 9))

    assert shown([*every_hour("1", "2"), mixed]).boxes == {}
    assert shown([*every_hour("1", "2"), mixed, *every_hour("1", "2", until=16)[16:]]).boxes.keys() == {"1", "2"}


def test_a_box_of_which_nothing_came_for_four_weeks_is_out_of_use() -> None:
    """What will never come bounds nothing for ever."""
    files = every_hour("1", "2")
    files += [came(DAY + day * 24 * HOUR, f"visits_1_{day}.csv", ("1", DAY + day * 24 * HOUR, 5)) for day in (2, 20)]
    assert shown(files).boxes.keys() == {"1", "2"}

    files.append(came("29d12:00", "visits_1_29.csv", ("1", "29d11:00", 5)))
    assert shown(files).boxes.keys() == {"1"}


def test_empty_files_in_their_time_show_that_nobody_came() -> None:
    """Up to as long before they came as the newest row of files usually is: twelve minutes."""
    files = [*both_every_hour(), came("09:02", "09.csv"), came("10:04", "10.csv")]

    assert shown(files[:8]).silent_until is None
    assert moment_text(shown(files[:9]).silent_until or 0) == "08:50"
    assert moment_text(shown(files).silent_until or 0) == "09:52"


def test_whose_an_empty_file_is_its_name_tells() -> None:
    """The figure that all files of box 2 have at that place, whatever else there is in it."""
    files = [
        *every_hour("1", "2"),
        came("09:02", "visits_1_0900.csv", ("1", "08:50", 5)),
        came("09:02", "visits_2_0900.csv"),
    ]

    found = shown(files).boxes
    assert found["1"].silent_until is None
    assert moment_text(found["2"].silent_until or 0) == "08:50"


def test_a_name_that_does_not_tell_leaves_it_open() -> None:
    """An empty file of either box is of neither."""
    files = [*every_hour("1", "2", name="{hour:02}/visits.csv"), came("09:02", "09/visits.csv")]

    assert [one.silent_until for one in shown(files).boxes.values()] == [None, None]


@pytest.mark.parametrize(
    ("files", "why"),
    [
        ([came("15:02", "09.csv"), came("16:02", "10.csv"), came("17:02", "11.csv")], "they were held up on their way"),
        ([came("09:02", "07.csv")], "it came before"),
        ([came("08:05", "new.csv")], "it belongs to the file before"),
        ([FileCame(moment("09:02"), "09.csv", None, False, {})], "its rows could not be read"),
        ([came("09:02", "03.csv", ("1", "02:50", 5))], "it is an old file sent again"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_a_file_shows_nothing_if(files: list[FileCame], why: str) -> None:
    """However regularly the next ones come, until one with fresh rows has come."""
    before = [*both_every_hour(until=6), came("07:02", "07.csv"), *both_every_hour()[7:]]
    silent = shown(before).silent_until

    assert moment_text(silent or 0) == "06:50"
    assert shown([*before, *files]).silent_until == silent, why


def test_before_it_is_known_how_often_files_come_an_empty_one_shows_nothing() -> None:
    """From the fifth wait on it is."""
    assert shown([*both_every_hour(until=5), came("06:02", "06.csv")]).silent_until is None
    assert shown([*both_every_hour(until=6), came("07:02", "07.csv")]).silent_until == moment("06:50")


def test_what_was_held_up_counts_again_once_fresh_rows_have_come() -> None:
    """The hold-up is over then."""
    files = [*both_every_hour(), came("15:02", "09.csv"), came("16:02", "16.csv", ("1", "15:50", 5))]

    assert moment_text(shown([*files, came("17:02", "17.csv")]).silent_until or 0) == "16:50"


def test_the_newest_file_written_anew_as_it_was_is_as_good_as_an_empty_one() -> None:
    """A list of the day that is rewritten each hour; an older file is not."""
    files = both_every_hour()
    again = FileCame(moment("09:02"), "08.csv", moment("07:50"), False, {})
    older = FileCame(moment("09:02"), "07.csv", moment("06:50"), False, {})

    assert shown([*files, again]).silent_until == moment("08:50")
    assert shown([*files, older]).silent_until is None


def test_a_backlog_read_at_once_does_not_tell_how_often_files_come() -> None:
    """Twenty files of the last day, read within seconds of each other."""
    backlog = [
        came(DAY + 86400 + n, f"{n}.csv", ("1", DAY + n * HOUR, 5), ("2", DAY + n * HOUR - 60, 5)) for n in range(20)
    ]

    assert shown([*backlog, came(DAY + 86400 + HOUR, "20.csv")]).silent_until is None


def test_a_feed_that_has_told_of_one_box_only_is_of_that_box() -> None:
    """Where there is another feed it bounds that box alone."""
    assert shown(every_hour("2")).only == "2"
    assert shown(both_every_hour()).only is None
