"""Whatever the export: numbers read back, splits change nothing, and wrong bytes never raise."""

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sentinel.flow.feeds import FeedMap, load_feed_map, read_export, read_icar
from sentinel.flow.model import Batch, Export

DELIMITED = """\
feed: milkings
files: "*"
delimiter: ";"
decimal: ","
zone: Europe/Dublin
skip_lines: ["#"]
tables:
  visits:
    cow: Cow
    start: Start
    milk_kg: Milk
    outcome: {column: Result, words: {ok: milked}}
  quarters:
    each: quarter
    milk_kg: "{quarter}"
"""
LINES = DELIMITED.replace('delimiter: ";"', "form: json_lines").replace('skip_lines: ["#"]\n', "")
BOOK = LINES.replace("json_lines", "xlsx")
HEAD = "Cow;Start;Milk;Result;LF;RF;LR;RR\n"


def feed_of(text: str) -> FeedMap:
    """The map, which must be a good one."""
    feed, problems = load_feed_map(text, "m.yaml")
    assert problems == []
    assert feed is not None
    return feed


FEEDS = [feed_of(text) for text in (DELIMITED, LINES, BOOK)]


def everything(batches: Sequence[Batch]) -> dict[str, list[tuple[int, Any]]]:
    """The rows of several batches with their lines, by table."""
    found: dict[str, list[tuple[int, Any]]] = {}
    for batch in batches:
        for rows in batch.rows:
            found.setdefault(rows.table, []).extend(zip(rows.lines, rows.values, strict=True))
    return found


cells = st.sampled_from(
    [
        "",
        "217",
        "0042",
        "2026-03-28 06:30",
        "2026-10-24 01:40",
        "2026-10-24 01:05",
        "5,9",
        "5.9",
        "ok",
        "odd",
        '"a\nb"',
        '"x;y"',
        '"',
    ]
)
rows = st.lists(cells, min_size=7, max_size=9).map(";".join)
good = st.builds(
    "{};2026-10-24 {:02}:{:02};5,9;ok;1;2;;4".format, st.integers(1, 3), st.integers(0, 2), st.integers(0, 59)
)
lines = st.lists(st.one_of(good, good, rows, st.sampled_from(["", "#x", "  "])), max_size=12)


@settings(max_examples=100, deadline=None)
@given(lines, st.data())
@example([';;;;;;"', "1;2026-10-24 01:50;1;ok;1;1;1;1", ';;;;;";'], None)
@example(['1;2026-10-24 01:50;"a', 'b";ok;1;2;3;4', "2;2026-10-24 01:10;1;ok;1;1;1;1"], None)
def test_reading_in_parts_gives_the_same_rows_as_reading_whole(body: list[str], data: Any) -> None:
    """Split at any line, also inside quoted text, and between two forgotten quotes (the night of the
    repeated hour has its own: test_night)."""
    content = (HEAD + "".join(line + "\n" for line in body)).encode()
    ends = [i + 1 for i, byte in enumerate(content) if byte == 10]
    cuts = sorted(data.draw(st.sets(st.sampled_from(ends)))) if data else ends
    parts, before = [], 0
    for cut in [*cuts, len(content)]:
        parts.append(read_export(FEEDS[0], Export("m.csv", content[:cut], 0, before), "UTC"))
        before = cut

    whole = read_export(FEEDS[0], Export("m.csv", content, 0), "UTC")
    assert everything(parts) == everything([whole])


@settings(max_examples=150, deadline=None)
@given(lines)
def test_every_line_is_read_or_set_aside_or_blank(body: list[str]) -> None:
    """No line is lost: each is part of a row, set aside, blank or skipped."""
    text = HEAD + "".join(line + "\n" for line in body)
    batch = read_export(FEEDS[0], Export("m.csv", text.encode(), 0), "UTC")

    told = {line for rows_ in batch.rows for line in rows_.lines} | {one.line for one in batch.set_aside}
    for number, line in enumerate(text.split("\n")[1:], start=2):
        if line.strip() and not line.startswith("#") and '"' not in text:
            assert number in told


@settings(max_examples=200, deadline=None)
@given(
    st.one_of(
        st.binary(max_size=120),
        st.binary(max_size=120).map(lambda b: HEAD.encode() + b),
        st.binary(max_size=60).map(lambda b: b"PK\x03\x04" + b),
        st.text(max_size=60).map(lambda t: ('{"Cow": ' + t + "}\n[{" + t).encode("utf-8", "surrogatepass")),
    ),
    st.sampled_from(["utf-8", "cp1252", "utf-16", "ascii", "utf-7", "shift_jis"]),
    st.integers(0, 130),
)
def test_wrong_bytes_never_raise_and_can_be_stored(content: bytes, encoding: str, read_from: int) -> None:
    """Whatever the bytes and the encoding the map believes in, a batch comes back."""
    for feed in FEEDS:
        export = Export("m", content, 0, read_from if feed.form != "xlsx" else 0)
        batch = read_export(feed.model_copy(update={"encoding": encoding}), export, "UTC")
        for one in (*batch.set_aside, *read_icar(Export("m", content, 0)).set_aside):
            assert one.reason
            assert len(f"{one.row}{one.reason}".encode()) >= 1
        for rows_ in batch.rows:
            assert all(text.encode() or text == "" for row in rows_.values for text in row if isinstance(text, str))


@pytest.mark.parametrize("rows_in", [20_000])
def test_a_year_of_rows_goes_through_in_chunks(rows_in: int) -> None:
    """More rows than a chunk holds: none lost, none doubled, bad ones keep their line."""
    body = [f"{i % 300};2026-03-28 06:{i % 60:02};5,9;ok;1;2;3;4" for i in range(rows_in)]
    body[9_999] = body[9_999].replace("5,9", "5,9x")
    batch = read_export(FEEDS[0], Export("m.csv", (HEAD + "\n".join(body) + "\n").encode(), 0), "UTC")

    visits = [r for r in batch.rows if r.table == "visits"]
    assert [len(r.values) for r in batch.rows] == [9_999, 1, rows_in - 10_000, 4 * rows_in]
    assert [(one.line, one.kept) for one in batch.set_aside] == [(10_001, True)]
    assert [line for part in visits for line in part.lines] == list(range(2, rows_in + 2))


LOG = """\
feed: log
files: "*"
delimiter: ";"
zone: Europe/Dublin
tables:
  box_log:
    box: Box
    at: At
    event:
      column: What
      words: {FILTER: filter_changed, LOGIN: leave_out}
"""


def test_rows_of_a_word_that_does_not_matter_are_left_out_and_nobody_is_told() -> None:
    """In whatever capitals; a word that is in no table is told, as it may be a new one."""
    rows = "1;2026-03-28 06:00;FILTER\n1;2026-03-28 06:10;LOGIN\n1;2026-03-28 06:20;login\n1;2026-03-28 06:30;DOOR\n"
    batch = read_export(feed_of(LOG), Export("log.csv", b"Box;At;What\n" + rows.encode(), 0), "Europe/Dublin")

    assert [row[2] for part in batch.rows for row in part.values] == ["filter_changed"]
    assert [(one.line, "DOOR" in str(one.reason)) for one in batch.set_aside] == [(5, True)]


def test_two_tables_of_one_file_leave_out_their_own_rows() -> None:
    """Also where they read the same columns."""
    text = (
        LOG
        + """\
  visits:
    cow: Box
    start: At
    outcome: {column: What, words: {LOGIN: refused, DOOR: milked, FILTER: leave_out}}
"""
    )
    rows = "7;2026-03-28 06:00;FILTER\n7;2026-03-28 06:10;LOGIN\n"
    batch = read_export(feed_of(text), Export("log.csv", b"Box;At;What\n" + rows.encode(), 0), "Europe/Dublin")

    assert {part.table: [line for line in part.lines] for part in batch.rows} == {"box_log": [2], "visits": [3]}
