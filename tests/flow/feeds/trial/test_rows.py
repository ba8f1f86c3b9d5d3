"""What a map cannot read is asked about at the line of the field it is about."""

from __future__ import annotations

from flow.feeds.trial.tried_maps import BEGIN, export, line, map_text, tried_on, visits

from sentinel.flow.feeds.trial.rows import later_than_their_file, unreadable, without_their_hour


def test_a_missing_column_is_told_at_the_field_that_wants_it() -> None:
    """Once for all files, with the title that may be meant."""
    files = [export(*visits(), name=f"visits_{n}.csv") for n in (3, 2, 1)]

    [told] = unreadable(tried_on(map_text(milk="Milch"), *files))

    assert str(told) == (
        "feeds/visits.yaml:9:5: nothing of visits_3.csv and 2 more can be read: its titles lack "
        '"Milch" (known here: Cow, Start, Box, Milk, Stay, Ended)'
    )


def test_a_wide_export_without_a_column_is_no_page_of_titles() -> None:
    """Sixty titles, of which eight are named."""
    wide = ",".join(f"Column {n}" for n in range(60))
    one = export()

    [told] = unreadable(tried_on(map_text(), type(one)(one.name, f"{wide}\n".encode(), 0)))

    assert len(told.message) < 320
    assert told.message.count("Column") == 8


def test_a_word_that_the_map_does_not_have_is_told_even_once() -> None:
    """A word that comes once a day is forgotten most easily."""
    [told] = unreadable(tried_on(map_text(), export(*visits(), line(20, Ended="stopped"))))

    assert str(told) == (
        "feeds/visits.yaml:11:5: 1 row of 21 is read without that cell (first visits_1.csv:22): "
        '"Ended": "stopped" is not in the map\'s word table (known here: done, none); add it to the words, '
        "as leave_out if it does not matter"
    )


def test_single_bad_rows_are_the_exports() -> None:
    """One in twenty-one says nothing of the map; five do."""
    single = tried_on(map_text(), export(*visits(), line(20, Milk="?")))
    several = tried_on(map_text(), export(*visits(), *(line(20 + n, Milk="?") for n in range(5))))

    assert [*unreadable(single)] == []
    assert [one.message.partition(" (")[0] for one in unreadable(several)] == [
        "5 rows of 25 are read without that cell"
    ]


def test_a_row_that_is_bad_in_every_file_is_asked_about() -> None:
    """A total at the end, a line of units: one row of many, and one alert for every file to come."""
    files = [export(*visits(), "Total,20 visits,,200,,", name=f"visits_{n}.csv") for n in range(4)]
    [question] = unreadable(tried_on(map_text(), *files))
    once = [export(*visits(), name=f"visits_{n}.csv") for n in range(3)] + files[:1]

    assert "4 rows of 84 are left out (first visits_0.csv:22)" in question.message
    assert question.message.endswith("skip_lines leaves it out")
    assert [*unreadable(tried_on(map_text(), *once))] == []


def test_rows_later_than_their_file_are_asked_about() -> None:
    """Two hours off by the zone: most rows of a fresh file are still to come."""
    fresh = export(*visits(), modified_at=BEGIN + 1)
    told = [*later_than_their_file(tried_on(map_text(), fresh))]

    assert [str(one) for one in told] == [
        "feeds/visits.yaml:7:5: start: 18 of 20 rows of visits_1.csv are later than the file itself, by up to 2.2 h, "
        "and would wait: is it the zone, or the order of day and month?"
    ]
    assert [*later_than_their_file(tried_on(map_text(), export(*visits())))] == []


def test_a_day_without_its_time_is_asked_about() -> None:
    """Date and time stand in two columns, and only the date was mapped: twenty visits at midnight."""
    days = map_text().replace('times: "%Y-%m-%d %H:%M:%S"', 'times: "%Y-%m-%d"')
    of = tried_on(days, export(*visits(lambda n: line(n, Start="2026-03-28"))))

    assert [str(one) for one in without_their_hour(of)] == [
        "feeds/visits.yaml:7:5: start: all 20 rows of visits are of 1 moment: does another column say the time of day? "
        "Then write columns: [DAY, TIME]"
    ]
    assert [*without_their_hour(tried_on(map_text(), export(*visits())))] == []


def test_what_a_flag_or_a_name_does_not_say_is_told_at_its_field() -> None:
    """A new word of a flag even once; a name for all the rows of its file, which count as one."""
    flagged = map_text().replace("{column: Ended, words: {done: milked, none: failed}}", "{flags: {incomplete: Ended}}")
    [told] = unreadable(tried_on(flagged, export(*visits(lambda n: line(n, Ended="no")), line(20, Ended="maybe"))))
    assert str(told).startswith(
        'feeds/visits.yaml:11:5: 1 row of 21 is read without that cell (first visits_1.csv:22): "Ended"'
    )

    by_name = map_text().replace("box: Box", 'box: {file_name: "box{box}/*"}')
    files = [export(*visits(), name=f"visits_{n}.csv") for n in range(2)]
    [told] = unreadable(tried_on(by_name, *files))
    assert str(told) == (
        "feeds/visits.yaml:8:5: 2 of 2 files are read without that field (first visits_0.csv): "
        '"box": its name does not fit the map\'s pattern box{box}/*'
    )
