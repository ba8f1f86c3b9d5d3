"""What is larger than the bounds is set aside whole; what is kept of rows that cannot be read is little."""

import io
import json
import tracemalloc
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.bounds import Bounds, legible
from sentinel.flow.feeds import load_feed_map, read_export, read_icar
from sentinel.flow.feeds.formats.json_items import LONGEST, Items
from sentinel.flow.feeds.formats.workbook import Refused, workbook_rows
from sentinel.flow.model import Batch, Export
from sentinel.flow.reasons import Reason

TABLES = "tables:\n  visits: {cow: Cow, start: Start, box: Box, milk_kg: Milk, attempts: Tries}\n"
LINES = 'feed: m\nfiles: "*"\ndelimiter: ";"\n' + TABLES
OBJECTS = 'feed: m\nfiles: "*"\nform: json_lines\n' + TABLES
BOOK = 'feed: m\nfiles: "*"\nform: xlsx\n' + TABLES
TITLES = ["Cow", "Start", "Box", "Milk", "Tries"]
HEAD = ";".join(TITLES) + "\n"
ROW = "7;2026-05-01 06:00;1;9.5;1\n"
FEW = Bounds(size=2000, rows=10, cells=40)


def read(text: str | bytes, form: str = LINES, bounds: Bounds = FEW) -> Batch:
    """What a file gives within the bounds."""
    feed, problems = load_feed_map(form, "m.yaml")
    assert feed is not None, problems
    content = text.encode() if isinstance(text, str) else text
    return read_export(feed, Export("m", content, 0), "UTC", bounds)


def whole(batch: Batch) -> str:
    """Why a file was set aside whole."""
    ((line, reason),) = [(one.line, str(one.reason)) for one in batch.set_aside]
    assert (line, batch.rows) == (0, ())
    return reason


def book(*rows: list[Any]) -> bytes:
    """The bytes of a workbook."""
    made = openpyxl.Workbook()
    for row in rows:
        made.active.append(row)  # type: ignore[union-attr]
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("form", "content", "why"),
    [
        (LINES, HEAD + ROW * 100, "it is larger than 0.002 MB"),
        (LINES, HEAD + "\n" * 200, "it has more than 10 rows"),
        (LINES, HEAD + ROW * 9, "it has more than 40 cells"),
        (LINES, ";".join(["x"] * 900), 'its titles lack "Cow", "Start", "Box" '),
        (OBJECTS, "{}\n" * 200, "it has more than 10 rows"),
    ],
)
def test_a_file_past_a_bound_is_set_aside_whole(form: str, content: str, why: str) -> None:
    """The reason names the bound; nothing of the file is kept, even if some rows were read before it was met."""
    assert whole(read(content, form)).startswith(why)


def test_a_file_within_its_bounds_is_read() -> None:
    """The bounds themselves are still allowed."""
    assert len(read(HEAD + ROW * 8).rows[0].values) == 8


def test_a_workbook_past_a_bound_is_set_aside_whole() -> None:
    """Its rows, its cells, what it unpacks to and the number of a row."""
    good = book(TITLES, *([7, "2026-05-01 06:00", 1, 9.5, 1] for _ in range(20)))
    roomy = replace(FEW, size=100_000)

    assert whole(read(good, BOOK, roomy)) == "it has more than 40 cells"
    assert whole(read(good, BOOK, replace(roomy, cells=1000))) == "it has more than 10 rows"
    assert whole(read(good, BOOK, Bounds(unpacked=3000))) == "it unpacks to more than 0.003 MB"
    assert len(read(good, BOOK, Bounds()).rows[0].values) == 20


def test_a_row_number_of_two_billion_makes_no_rows() -> None:
    """The gap is not filled, and a row where no sheet has one is a reason."""
    out, good = io.BytesIO(), book(TITLES, [7, "2026-05-01 06:00", 1, 9.5, 1])
    with zipfile.ZipFile(io.BytesIO(good)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(
                name, old.read(name).replace(b'r="2"', b'r="2000000000"').replace(b'r="A2"', b'r="A2000000000"')
            )
    tracemalloc.start()
    try:
        reason = whole(read(out.getvalue(), BOOK, Bounds()))
        taken = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert reason == "it has a row past number 1,048,576"
    assert taken < 20_000_000


def test_a_workbook_of_a_hundred_thousand_parts_is_not_even_listed() -> None:
    """What lists them takes half a kilobyte for each."""
    with pytest.raises(Refused, match="more than 2,000 parts"):
        next(workbook_rows(b"PK\x01\x02" * 100_000, None, Bounds()))


def test_a_reason_names_a_few_titles_and_nothing_that_cannot_be_seen() -> None:
    """A power cut leaves NUL bytes: 130,000 of them are one title, and it is not repeated for every field."""
    reason = whole(read(b"\x00" * 130_000, bounds=Bounds()))

    assert len(reason) < 400
    assert "\x00" not in reason
    assert " and 2 more" in reason
    assert len(legible("x" * 1000)) == 61


def test_of_rows_that_cannot_be_read_only_some_are_kept_at_length() -> None:
    """All are counted, with what they may have been; fifty alike are enough, and so many altogether."""
    text = HEAD + "junk\n" * 300 + "7;2026-05-01 06:00;1;x;1\n" * 300 + "7;never;1;1;1\n" * 300
    aside = read(text, bounds=Bounds(reasons=120)).set_aside

    assert len(aside) == 900
    told = [str(one.reason)[:20] for one in aside if one.reason]
    assert [told.count(reason) for reason in dict.fromkeys(told)] == [50, 50, 20]
    assert all(one.tab == "visits" for one in aside)
    assert [one.kept for one in aside].count(True) == 300


def test_a_number_that_no_store_holds_costs_its_cell() -> None:
    """A count of 64 bits, a number of 400 digits (which would be infinite), and one past all sense."""
    text = HEAD + "".join(
        f"7;2026-05-01 06:0{n};1;{milk};{tries}\n"
        for n, (milk, tries) in enumerate([(1, 9223372036854775808), ("9" * 400, 1), ("1e15", 1), (1, "1" * 5000)])
    )
    batch = read(text, bounds=Bounds())

    assert sum(len(part.values) for part in batch.rows) == 4
    assert [one.kept for one in batch.set_aside] == [True] * 4
    assert all(value is None or abs(value) < 2**62 for part in batch.rows for row in part.values for value in row[3:])


def test_a_name_of_a_hundred_thousand_characters_costs_its_row() -> None:
    """Nobody calls a cow so."""
    ((line, reason),) = [
        (one.line, str(one.reason)) for one in read(HEAD + "x" * 100_000 + ROW[1:], bounds=Bounds()).set_aside
    ]

    assert (line, reason.endswith(" is longer than 1,000 characters")) == (2, True)
    assert len(reason) < 200


def test_quotes_that_stay_open_cost_their_own_lines_in_time_for_each() -> None:
    """Each of these lines opens a quote that no other closes: read on to the end each time, it took hours."""
    batch = read(HEAD + 'a";"b\n' * 10_000 + ROW, bounds=Bounds())

    assert len(batch.set_aside) == 10_000
    assert [len(part.values) for part in batch.rows] == [1]


def test_one_line_of_a_million_cells_is_not_taken_apart() -> None:
    """It costs its own line, in either form."""
    assert len(read(HEAD + ";" * 1_000_000 + "\n" + ROW, bounds=Bounds()).rows[0].values) == 1
    aside = read('{"Cow": [' + "[]," * 300_000 + "[]]}\n", OBJECTS, Bounds()).set_aside
    assert [(one.line, str(one.reason)) for one in aside] == [(1, "holds more than 2,000 values")]


# --- JSON, item by item -----------------------------------------------------------------------------------

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 10**20) | st.text(max_size=5), lambda inner: st.lists(inner, max_size=3)
)


@given(
    st.lists(VALUES, max_size=5),
    st.sampled_from([None, 0, 2]),
    st.dictionaries(st.text(max_size=3), VALUES, max_size=3),
)
def test_items_are_what_the_library_would_give_in_one_go(
    items: list[Any], indent: int | None, rest: dict[str, Any]
) -> None:
    """Of a bare list and of a collection, however it is laid out."""
    rest.pop("member", None)
    bare, held = Items(json.dumps(items, indent=indent)), Items(json.dumps(rest | {"member": items}, indent=indent))

    assert (list(bare), bare.listed) == (items, True)
    assert (list(held), held.rest, held.listed) == (items, rest, True)


@given(st.text(alphabet='[]{},:"1a \n', max_size=12))
def test_what_is_no_json_is_none_item_by_item_either(text: str) -> None:
    """Where the library refuses, the items do too."""
    try:
        found = json.loads(text)
    except ValueError:
        with pytest.raises(ValueError):
            list(Items(text))
        return
    if isinstance(found, list):
        assert list(Items(text)) == found


def test_a_list_longer_than_what_is_looked_at_at_once_is_read_whole() -> None:
    """Items that lie across the end of a stretch are not cut."""
    items = [{"n": n, "text": "x" * (n % 700)} for n in range(6000)]
    assert len(text := json.dumps(items)) > 2 * LONGEST
    assert list(Items(text)) == items


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('{"member": [' + "[]," * 500_000 + "1]}", "it has more than 50,000 rows"),
        ('{"member": [[' + "[]," * 500_000 + "1]]}", "it holds an item of more than 1,000,000 characters"),
        ('{"milkingStartingDateTime": 1' + ',"a": "%s"' % ("x" * 600_000) * 2 + "}", "it holds more than 1,000,000 "),
        ('{"member": [], "member": []}', 'it gives "member" twice'),
        ("9" * 5000, "it is not valid JSON: Exceeds the limit"),
    ],
)
def test_icar_files_past_a_bound_are_set_aside_whole(text: str, why: str) -> None:
    """The reason names the bound."""
    assert whole(read_icar(Export("v.json", text.encode(), 0))).startswith(why)


def test_a_workbook_may_be_refused_after_some_of_its_rows() -> None:
    """Whoever unpacks it may fail on the way; half a sheet is no export."""

    def broken(content: bytes, sheet: str | None, bounds: Bounds) -> Iterator[tuple[int, tuple[Any, ...]]]:
        yield 1, tuple(TITLES)
        yield from ((n, ("7", "2026-05-01 06:00", "1", 1, 1)) for n in range(2, 5000))
        raise Refused(Reason("unpacking-too-slow", n=60))

    feed, _ = load_feed_map(BOOK, "m.yaml")
    assert feed is not None
    assert whole(read_export(feed, Export("m", b"", 0), "UTC", Bounds(), broken)) == "it takes more than 60 s to unpack"
