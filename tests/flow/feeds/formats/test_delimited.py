"""Delimited exports: small files in, tidy rows and rows set aside out."""

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from sentinel.flow.feeds import FeedMap, load_feed_map, read_export
from sentinel.flow.model import Batch, Export

MAP = """\
feed: milkings
files: "*.csv"
delimiter: ";"
decimal: ","
zone: Europe/Dublin
times: "%d.%m.%Y %H:%M"
missing: ["-"]
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: {column: Milk, unit: lb}
    outcome: {column: Result, words: {ok: milked, cut: incomplete}}
"""

QUARTERS = (
    MAP
    + """\
  quarters:
    each: {LF: VL, RF: VR, LR: HL, RR: HR}
    conductivity_mS_cm: {column: "Cond {quarter}", reference_temperature_C: 25}
    kicked_off: "Kick {quarter}"
"""
)


def feed_of(text: str) -> FeedMap:
    """The map, which must be a good one."""
    feed, problems = load_feed_map(text, "m.yaml")
    assert problems == []
    assert feed is not None
    return feed


def read(content: str | bytes, text: str = MAP, **more: Any) -> Batch:
    """An export's batch."""
    data = content.encode() if isinstance(content, str) else content
    return read_export(feed_of(text), Export("m.csv", data, 0, **more), "Europe/Berlin")


def rows(batch: Batch, table: str = "visits") -> list[Mapping[str, Any]]:
    """A table's rows as dictionaries."""
    parts = [r for r in batch.rows if r.table == table]
    return [dict(zip(part.columns, values, strict=True)) for part in parts for values in part.values]


def aside(batch: Batch) -> list[tuple[int, str]]:
    """Line and reason of what was set aside."""
    return [(one.line, str(one.reason)) for one in batch.set_aside]


HEAD = "Cow;Start;Box;Milk;Result\n"
GOOD = "0042;28.03.2026 06:30;2;20,5;ok\n"


def test_one_row_becomes_one_visit() -> None:
    """The cow's number as written, UTC seconds, kilograms, our word."""
    batch = read(HEAD + GOOD)

    assert rows(batch) == [
        {
            "cow": "0042",
            "start": 1774679400,
            "box": "2",
            "outcome": "milked",
            "milk_kg": pytest.approx(9.29864, rel=1e-5),
        }
    ]
    assert (batch.feed, batch.file, batch.complete_until, batch.set_aside) == ("milkings", "m.csv", None, ())
    assert batch.sha256 == hashlib.sha256((HEAD + GOOD).encode()).hexdigest()


def test_bad_rows_are_set_aside_with_line_row_and_reason_and_the_good_ones_go_on() -> None:
    """One bad row never hides another, and line numbers are the file's own."""
    batch = read(
        HEAD
        + "1;28.03.2026 06:30;2;5,9x;ok\n"
        + "\n"
        + "2;28.03.2026 06:31;2;5.9;ok\n"
        + "3;2026-03-28 06:31;2;5,9;ok\n"
        + "4;28.03.2026 06:32;2;5,9;odd\n"
        + ";28.03.2026 06:33;2;5,9;ok\n"
        + "6;28.03.2026 06:34;2;5;9;ok\n"
        + "7;28.03.2026 06:35;2\n"
        + "8;28.03.2026 06:36;-;-;\n"
        + "9;28.03.2026 06:37;1;5,9;OK;;\n"
    )

    assert aside(batch) == [
        (2, '"Milk": "5,9x" is not a number'),
        (4, '"Milk": "5.9" is not a number with the decimal mark ","'),
        (5, '"Start": "2026-03-28 06:31" is not a time like 28.03.2026 06:30'),
        (6, '"Result": "odd" is not in the map\'s word table (known here: ok, cut)'),
        (7, '"Cow" is empty, and without it rows of visits cannot be told apart'),
        (8, "has 6 cells where the titles have 5: is the delimiter or decimal mark inside a cell?"),
        (9, "has 3 cells where the titles have 5: it is cut short or has a line break inside"),
    ]
    assert batch.set_aside[0].row == "1;28.03.2026 06:30;2;5,9x;ok"
    assert [one.kept for one in batch.set_aside] == [True, True, False, True, False, False, False]
    assert [(r["cow"], r["box"], r.get("milk_kg", "left out"), r["outcome"]) for r in rows(batch)] == [
        ("1", "2", "left out", "milked"),
        ("2", "2", "left out", "milked"),
        ("4", "2", pytest.approx(2.676195), "unknown"),
        ("8", None, None, None),
        ("9", "1", pytest.approx(2.676195), "milked"),
    ]
    assert [line for part in batch.rows for line in part.lines] == [2, 4, 6, 10, 11]


def test_a_row_that_could_not_be_read_says_whom_and_when_it_concerns() -> None:
    """Its own time where that can be read, else the rows around it; the end of the file stays open."""
    batch = read(
        HEAD
        + "1;28.03.2026 06:30;2;5,9;ok\n"
        + "2;28.03.2026 06:31;2;5,9;odd\n"  # kept, how it ended is unknown
        + "3;28.13.2026 06:32;2;5,9;ok\n"  # her time cannot be read
        + ";28.03.2026 06:33;2;5,9;ok\n"  # some cow's
        + "5;28.03.2026 06:34;2;5\n"  # cut short
        + "6;28.03.2026 06:40;1;5,9;ok\n"
        + "7;28.03.20"
    )

    assert [(one.tab, one.who, one.box, one.begin, one.end) for one in batch.set_aside] == [
        ("visits", "2", "2", 1774679460, 1774679460),
        ("visits", "3", "2", 1774679460, 1774680000),
        ("visits", "", "2", 1774679580, 1774679580),
        ("visits", "", "", 1774679460, 1774680000),
        ("visits", "", "", 1774680000, None),
    ]


def test_a_file_that_is_newest_first_is_understood_the_other_way_about() -> None:
    """Its last row is its oldest, and what is cut off there is older still."""
    batch = read(HEAD + "6;28.03.2026 06:40;1;5,9;ok\n" + "5;28.03.2026 06:30;2;5,9;ok\n" + "4;28.03")

    assert [(one.begin, one.end) for one in batch.set_aside] == [(None, 1774679400)]


def test_four_quarters_in_a_row_become_four_rows_with_the_visits_cow_start_and_box() -> None:
    """A quarter of which nothing is known gives no row."""
    batch = read(
        HEAD.strip()
        + ";Cond VL;Cond VR;Cond HL;Cond HR;Kick VL;Kick VR;Kick HL;Kick HR\n"
        + GOOD.strip()
        + ";5,1;5,2;;5,4;no;yes;;0\n",
        QUARTERS,
    )

    assert [
        (r["cow"], r["box"], r["quarter"], r["conductivity_mS_cm"], r["kicked_off"]) for r in rows(batch, "quarters")
    ] == [
        ("0042", "2", "LF", 5.1, False),
        ("0042", "2", "RF", 5.2, True),
        ("0042", "2", "RR", 5.4, False),
    ]
    assert {r["start"] for r in rows(batch, "quarters")} == {1774679400}
    assert batch.rows[1].lines == (2, 2, 2)


def test_a_cell_that_cannot_be_read_costs_that_cell() -> None:
    """The visit and the other quarters are stored, and what the quarter otherwise says; the cell is told."""
    titles = HEAD.strip() + ";Cond VL;Cond VR;Cond HL;Cond HR;Kick VL;Kick VR;Kick HL;Kick HR\n"
    bad = GOOD.strip() + ";5,1;5,9x;5,3;5,4;0;0;0;0\n"
    batch = read(titles + bad, QUARTERS)

    assert aside(batch) == [(2, '"Cond VR": "5,9x" is not a number')]
    assert batch.set_aside[0].kept
    assert [r["outcome"] for r in rows(batch)] == ["milked"]
    assert [
        (r["quarter"], r.get("conductivity_mS_cm", "left out"), r["kicked_off"]) for r in rows(batch, "quarters")
    ] == [
        ("LF", 5.1, False),
        ("RF", "left out", False),
        ("LR", 5.3, False),
        ("RR", 5.4, False),
    ]


def test_each_reason_of_a_row_is_told_once() -> None:
    """A row with several bad cells is one entry, and it is not told again for each quarter that shares a cell."""
    titles = HEAD.strip() + ";Cond VL;Cond VR;Cond HL;Cond HR;Kick VL;Kick VR;Kick HL;Kick HR\n"
    batch = read(titles + "1;28.03.2026 06:30;2;x;odd;y;5,2;5,3;5,4;0;0;0;?\n", QUARTERS)

    ((line, reason),) = aside(batch)
    assert line == 2
    assert [part.partition(":")[0] for part in reason.split("; ")] == ['"Result"', '"Milk"', '"Cond VL"', '"Kick HR"']


def test_a_file_with_other_columns_is_set_aside_whole() -> None:
    """The reason names what is missing and what was meant."""
    batch = read("Cow;Start;Bx;Milk\n" + GOOD)

    assert aside(batch) == [
        (0, 'its titles lack "Box" (did you mean "Bx"?), "Result" (known here: Cow, Start, Bx, Milk)')
    ]
    assert batch.rows == ()


def test_the_wrong_delimiter_is_suspected() -> None:
    """One single title is a hint."""
    assert "is the map's delimiter right?" in aside(read("Cow,Start,Box,Milk,Result\n"))[0][1]


@pytest.mark.parametrize("content", [b"", b"\n", b"\xef\xbb\xbf", b"\x00\x01\x02", b"\xff\xfe", b'"', b"\xff" * 100])
def test_no_file_is_too_broken_to_be_told(content: bytes) -> None:
    """It is set aside whole with a reason."""
    batch = read(content)

    assert [(one.line, bool(str(one.reason))) for one in batch.set_aside] == [(0, True)]


@pytest.mark.parametrize(
    ("content", "encoding"),
    [
        (b"\xef\xbb\xbf" + (HEAD + GOOD).encode(), "cp1252"),
        ((HEAD + GOOD).encode("utf-16"), "utf-8"),
        ((HEAD + GOOD).replace("\n", "\r\n").encode(), "utf-8"),
        ((HEAD + GOOD).replace("\n", "\r").encode(), "utf-8"),
        ((HEAD + GOOD).rstrip().encode(), "utf-8"),
        (HEAD.replace("Cow", " Cow ").replace("\n", ";;\n").encode() + GOOD.encode(), "utf-8"),
    ],
)
def test_marks_line_ends_and_trailing_delimiters_do_not_matter(content: bytes, encoding: str) -> None:
    """A byte order mark wins over the map; every line end is one; nameless columns at the end are ignored."""
    batch = read(content, MAP.replace('delimiter: ";"', f'delimiter: ";"\nencoding: {encoding}'))

    assert aside(batch) == []
    assert [r["cow"] for r in rows(batch)] == ["0042"]


def test_a_byte_that_is_no_text_costs_only_its_own_row() -> None:
    """And the row that is kept for the operator can be stored."""
    batch = read((HEAD + GOOD + GOOD.replace("0042", "K\xe4the") + GOOD.replace("0042", "44")).encode("cp1252"))

    assert [r["cow"] for r in rows(batch)] == ["0042", "44"]
    ((line, reason),) = aside(batch)
    assert line == 3
    assert "not utf-8 text" in reason
    assert batch.set_aside[0].row.startswith("K\\xe4the;")


def test_quoted_text_may_run_over_lines_and_the_next_row_keeps_its_number() -> None:
    """A delimiter and a line break inside quotes are text."""
    batch = read(HEAD + '1;28.03.2026 06:30;"a;\nb";5,9;ok\n' + GOOD)

    assert [r["box"] for r in rows(batch)] == ["a;\nb", "2"]
    assert batch.rows[0].lines == (2, 4)


def test_a_quote_that_is_never_closed_costs_only_its_own_line() -> None:
    """The rows after it are not swallowed, whether or not another quote follows."""
    lone = '1;28.03.2026 06:30;"2;5,9;ok\n'
    for content in (HEAD + GOOD + lone + GOOD, HEAD + lone + GOOD + lone + GOOD, HEAD + GOOD + GOOD + lone):
        batch = read(content)

        assert [r["cow"] for r in rows(batch)] == ["0042", "0042"]
        assert {reason for _, reason in aside(batch)} == {"a quote is opened and never closed"}


def test_titles_may_stand_further_down_and_lines_may_be_skipped() -> None:
    """`header_line`, `skip_lines` for comments and totals, and a second column of the same title."""
    text = MAP.replace("missing:", 'header_line: 3\nskip_lines: ["#", Total]\nmissing:').replace("Box", "'Box#2'")
    batch = read("Farm export\n\nCow;Start;Box;Milk;Result;Box\n#x\n1;28.03.2026 06:30;A;1;ok;B\nTotal;1\n", text)

    assert aside(batch) == []
    assert [r["box"] for r in rows(batch)] == ["B"]


def test_a_file_without_titles_is_read_by_the_maps_own() -> None:
    """`header_line: 0` and `columns`."""
    text = MAP.replace("missing:", "header_line: 0\ncolumns: [Cow, Start, Box, Milk, Result]\nmissing:")

    assert [r["cow"] for r in rows(read(GOOD + GOOD, text))] == ["0042", "0042"]


def test_mixed_records_of_one_file_go_to_their_own_tables() -> None:
    """`only` chooses; a kind that no table wants is passed over."""
    text = """\
feed: mixed
files: "*.csv"
tables:
  visits:
    only: {column: Type, is: M}
    cow: Cow
    start: At
    deleted: {column: What, words: {gone: yes, "": no}}
  box_log:
    only: {column: Type, is: [F, 9]}
    box: {value: "3"}
    at: At
    event: {column: What, words: {new filter: filter_changed}}
"""
    batch = read(
        "Type,At,Cow,What\nM,2026-03-28 06:30,9,\nF,2026-03-28 06:40,,New filter\nX,,,\n9,2026-03-28 06:50,,odd\n"
        "M,2026-03-28 06:45,10,gone\n",
        text,
    )

    assert [(r["cow"], r["deleted"]) for r in rows(batch)] == [("9", False), ("10", True)]
    assert rows(batch, "box_log") == [{"box": "3", "at": 1774676400, "event": "filter_changed"}]
    assert [line for line, _ in aside(batch)] == [5]


def test_the_stamp_in_the_name_promises_completeness_and_dates_a_list() -> None:
    """A cow list without its own dates is true from its stamp on; without a stamp it is set aside whole."""
    text = """\
feed: cows
files: "cows_*"
zone: Europe/Dublin
complete_until: {from: file_name, pattern: "cows_%Y-%m-%d_%H%M"}
tables:
  cows: {cow: Cow, from: {stamp: true}, calved_on: Calved}
"""
    feed = feed_of(text)
    export = Export("in/cows_2026-07-01_0600.csv", b"Cow,Calved\n9,2026-03-29\n", 77)
    batch = read_export(feed, export, "UTC")

    assert batch.complete_until == 1782882000
    assert rows(batch, "cows") == [{"cow": "9", "from": 1782882000, "calved_on": 1774742400}]

    nameless = read_export(feed, replace(export, name="cows.csv"), "UTC")
    assert nameless.complete_until is None
    assert aside(nameless) == [(0, "its name does not fit the map's pattern cows_%Y-%m-%d_%H%M")]

    by_time = feed_of(text.replace('from: file_name, pattern: "cows_%Y-%m-%d_%H%M"', "from: file_time"))
    assert read_export(by_time, export, "UTC").complete_until == 77


def test_appended_lines_are_read_from_where_they_were_left() -> None:
    """Rows that begin before `read_from` are not read again, and line numbers count from the file's start."""
    content = HEAD + GOOD + GOOD.replace("0042", "43")
    batch = read(content, read_from=len(HEAD + GOOD))

    assert [r["cow"] for r in rows(batch)] == ["43"]
    assert batch.rows[0].lines == (3,)
    assert rows(read(content, read_from=len(content))) == []


def test_appended_lines_know_which_pass_of_the_repeated_hour_it_is() -> None:
    """The order of the rows read before tells it, and theirs is told by what came after: all are read again."""
    known = "".join(f"9;25.10.2026 00:{minute};2;1;ok\n" for minute in range(10, 60, 5))
    before = HEAD + known + "1;25.10.2026 01:50;2;1;ok\n"
    batch = read(before, read_from=len(HEAD + known))
    assert [(one.line, one.begin, one.end) for one in batch.set_aside] == [(12, 1792889400, 1792893000)]

    batch = read(before + "2;25.10.2026 01:10;2;1;ok\n", read_from=len(before))

    assert [(r["cow"], r["start"]) for r in rows(batch)[10:]] == [("1", 1792889400), ("2", 1792890600)]
    assert batch.set_aside == ()
    assert not batch.continues


def test_durations_written_like_a_clock_and_a_date_beside_a_time() -> None:
    """`min:sec`, and `columns: [Date, Time]`."""
    text = """\
feed: x
files: "*"
times: "%d/%m/%Y %H:%M"
zone: UTC
tables:
  visits:
    cow: Cow
    start: {columns: [Date, Time]}
    duration_s: {column: Dur, unit: "min:sec"}
    attach_s: {column: Att, unit: min}
    attempts: Tries
"""
    batch = read(
        "Cow,Date,Time,Dur,Att,Tries\n1,28/03/2026,06:30,5:32,0.5,2\n2,28/03/2026,06:31,5:72,1,2\n"
        "3,28/03/2026,,5:02,1,2\n4,28/03/2026,06:31,5:02,1,2.5\n",
        text,
    )

    assert rows(batch) == [
        {"cow": "1", "start": 1774679400, "duration_s": 332.0, "attach_s": 30.0, "attempts": 2},
        {"cow": "2", "start": 1774679460, "attach_s": 60.0, "attempts": 2},
        {"cow": "4", "start": 1774679460, "duration_s": 302.0, "attach_s": 60.0},
    ]
    assert aside(batch) == [
        (3, '"Dur": "5:72" is not a duration written min:sec'),
        (4, '"Date" and "Time" is empty, and without it rows of visits cannot be told apart'),
        (5, '"Tries": "2.5" is not a whole number'),
    ]


def test_the_farms_zone_counts_where_the_map_names_none() -> None:
    """06:30 in Berlin is 05:30 UTC in March before the clock change."""
    batch = read(HEAD + GOOD, MAP.replace("zone: Europe/Dublin\n", ""))

    assert [r["start"] for r in rows(batch)] == [1774679400 - 3600]
