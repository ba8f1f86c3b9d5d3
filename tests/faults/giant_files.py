"""A few large exports, or small ones that become large: each is after the memory or the time of whoever reads it."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Iterator

from faults.mutants import TITLES, File, book, lines, rows

FORM = "%d.%m.%Y %H:%M"
MAIN = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
SHEET = b"<worksheet " + MAIN + b"><sheetData>%s</sheetData></worksheet>"
HEAD = ";".join(TITLES).encode() + b"\n"
TEN_O_CLOCK = b"30.04.2026 10:00"
MANY = 49_000
"""Just so many rows are still read."""


def packed(sheet: bytes, **others: bytes) -> bytes:
    """A workbook with that sheet and other parts, as small as packing makes it."""
    with zipfile.ZipFile(io.BytesIO(book([]))) as good:
        parts = {name: good.read(name) for name in good.namelist()}
    parts[next(name for name in parts if "sheet1" in name)] = sheet
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in (parts | others).items():
            made.writestr(name, data)
    return out.getvalue()


def giants() -> Iterator[File]:
    """Each file by itself; a large one is not to lie in memory beside the next."""
    visit = lines(rows(random.Random(0), 1), ";", ",", FORM).encode()[len(HEAD) :]
    many = lines(rows(random.Random(0), MANY), ";", ",", FORM).encode()
    titled = (
        b"<row r='1'>" + b"".join(b"<c t='inlineStr'><is><t>%s</t></is></c>" % t.encode() for t in TITLES) + b"</row>"
    )
    yield "lines_nul.csv", b"\x00" * 130_000
    yield "lines_nul_titled.csv", HEAD + b"\x00" * 130_000
    yield "lines_titles.csv", b";".join(b"title %d" % n for n in range(60_000)) + b"\n"
    yield "lines_sparse.csv", 1 << 40
    yield "icar_sparse.json", 1 << 40
    yield "lines_junk.csv", b"junk\n" * 3_000_000
    yield "lines_junk_titled.csv", HEAD + b"not a row, whatever it was meant to be: %s\n" % (b"x" * 250) * MANY
    yield (
        "lines_bad_cells.csv",
        HEAD
        + (b"x" * 15 + b";") * 12
        + b"x" * 15
        + b"\n"
        + (b";".join([b"1", b"30.04.2026 10:00", *[b"x" * 15] * 12]) + b"\n") * MANY,
    )
    yield (
        "lines_some_cells.csv",
        HEAD
        + b"".join(
            b"%d;30.04.2026 10:00;1;%s;ok;1;5;5;%s;5;0;0;0;0\n" % (n, b"x" if n % 2 else b"5", b"x" if n % 3 else b"5")
            for n in range(MANY)
        ),
    )
    yield "lines_many.csv", many
    yield "lines_empty.csv", b"\n" * 15_900_000
    yield "lines_delimiters.csv", HEAD + b";" * 15_900_000
    yield "lines_quotes.csv", HEAD + b'a";"b\n' * MANY
    yield "lines_long_quotes.csv", HEAD + (b"a" * 300 + b'";"b\n') * MANY
    yield "lines_open_quote.csv", HEAD + b'"' + visit * MANY
    yield "lines_astral.csv", HEAD + visit * MANY + "😀".encode() * 2_800_000
    yield "lines_wide.csv", b"\xff\xfe" + b"\x00\xd8" * 7_900_000
    yield "objects_lists.jsonl", b"[" + b"[]," * 5_000_000 + b"[]]"
    yield "objects_deep.jsonl", b"[" * 15_000_000
    yield "objects_many.jsonl", b'{"Cow":' + b"[" * 500 + b"]" * 500 + b"}\n" + b'{"Cow": "1"}\n' * MANY
    yield "icar_lists.json", b'{"milkingStartingDateTime": [' + b"[]," * 5_000_000 + b"[]]}"
    yield "icar_members.json", b'{"member": [' + b'{"milkingStartingDateTime": 1},' * 480_000 + b"{}]}"
    yield "icar_objects.json", b'{"member": [' + b"{}," * 5_000_000 + b'{"milkingStartingDateTime": 1}]}'
    yield (
        "icar_quarters.json",
        b'{"member": [{"animal": {"id": "1"}, "milkingStartingDateTime": "2026-05-01T10:00:00Z", "quarterMilkings": ['
        + b"0," * 400_000
        + b"0]}]}",
    )
    yield "icar_digits.json", b'{"milkingStartingDateTime": ' + b"9" * 15_000_000 + b"}"
    yield (
        "icar_rest.json",
        b'{"milkingStartingDateTime": 1' + b"".join(b',"k%d": [[],[],[],[],[]]' % n for n in range(500_000)) + b"}",
    )
    yield "book_bomb.xlsx", packed(SHEET % (b"\n" * 300_000_000))
    yield "book_cells.xlsx", packed(SHEET % (titled + b"<row>" + b"<c/>" * 15_000_000 + b"</row>"))
    yield "book_rows.xlsx", packed(SHEET % (titled + b"<row><c><v>1</v></c></row>" * 1_000_000))
    yield "book_far_row.xlsx", packed(SHEET % (titled + b"<row r='2000000000'><c><v>1</v></c></row>"))
    yield (
        "book_far_column.xlsx",
        packed(
            SHEET % (titled + b"".join(b"<row r='%d'><c r='ZZZ%d'><v>1</v></c></row>" % (n, n) for n in range(2, 3000)))
        ),
    )
    yield (
        "book_styles.xlsx",
        packed(
            SHEET % titled,
            **{
                "xl/styles.xml": b'<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs>'
                + b"<xf/>" * 3_000_000
                + b"</cellXfs></styleSheet>"
            },
        ),
    )
    yield (
        "book_texts.xlsx",
        packed(
            SHEET % titled,
            **{
                "xl/sharedStrings.xml": b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
                + b"<si><t/></si>" * 3_000_000
                + b"</sst>"
            },
        ),
    )
    yield "book_parts.xlsx", packed(SHEET % titled) + b"PK\x01\x02" * 100_000
