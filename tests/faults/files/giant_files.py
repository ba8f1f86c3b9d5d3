"""A few large exports, or small ones that become large: each is after the memory or the time of whoever reads it."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable, Iterable, Iterator

from faults.files.mutants import TITLES, File, book, icar, lines, rows

FORM = "%d.%m.%Y %H:%M"
MAIN = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
SHEET = b"<worksheet " + MAIN + b"><sheetData>%s</sheetData></worksheet>"
TEXTS_KIND = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
HEAD = ";".join(TITLES).encode() + b"\n"
TITLED = b"<row r='1'>" + b"".join(b"<c t='inlineStr'><is><t>%s</t></is></c>" % t.encode() for t in TITLES) + b"</row>"
AT = b"30.04.2026 10:00"
VISIT = b"7;30.04.2026 10:00;1;9,5;ok;1;5;5;5;5;0;0;0;0\n"
ITEM = b'{"animal": {"id": "1"}, "milkingStartingDateTime": "2026-05-01T10:00:00Z", "quarterMilkings": ['
BAD = b";".join([b"1", AT, *[b"x" * 15] * 12]) + b"\n"
MANY = 49_000
"""Just so many rows are still read."""


def packed(sheet: bytes, **others: bytes) -> bytes:
    """A workbook with that sheet and other parts, as small as packing makes it."""
    with zipfile.ZipFile(io.BytesIO(book([]))) as good:
        parts = {name: good.read(name) for name in good.namelist()}
    parts[next(name for name in parts if "sheet1" in name)] = sheet
    told = (
        b"</Types>"
        if "xl/sharedStrings.xml" not in others
        else b'<Override PartName="/xl/sharedStrings.xml" ContentType="' + TEXTS_KIND + b'"/></Types>'
    )
    parts["[Content_Types].xml"] = parts["[Content_Types].xml"].replace(b"</Types>", told)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in (parts | others).items():
            made.writestr(name, data)
    return out.getvalue()


def styled(many: int) -> bytes:
    """A workbook of so many cell styles."""
    styles = b"<styleSheet " + MAIN + b"><cellXfs>" + b"<xf/>" * many + b"</cellXfs></styleSheet>"
    return packed(SHEET % TITLED, **{"xl/styles.xml": styles})


def texted(many: int) -> bytes:
    """A workbook of so many texts, none of which stands in a cell."""
    texts = b"<sst " + MAIN + b">" + b"<si><t/></si>" * many + b"</sst>"
    return packed(SHEET % TITLED, **{"xl/sharedStrings.xml": texts})


def _cell(bad: bool) -> bytes:
    return b"x" if bad else b"5"


def _some_cells() -> bytes:
    row = b"%d;%s;1;%s;ok;1;5;5;%s;5;0;0;0;0\n"
    return HEAD + b"".join(row % (n, AT, _cell(n % 2 > 0), _cell(n % 3 > 0)) for n in range(MANY))


def _far_columns() -> bytes:
    return b"".join(b"<row r='%d'><c r='ZZZ%d'><v>1</v></c></row>" % (n, n) for n in range(2, 3000))


def _keys() -> bytes:
    return b"".join(b',"k%d": [[],[],[],[],[]]' % n for n in range(500_000))


GIANTS: dict[str, Callable[[], bytes | int]] = {
    "lines_nul.csv": lambda: b"\x00" * 130_000,
    "lines_nul_titled.csv": lambda: HEAD + b"\x00" * 130_000,
    "lines_titles.csv": lambda: b";".join(b"title %d" % n for n in range(60_000)) + b"\n",
    "lines_sparse.csv": lambda: 1 << 40,
    "icar_sparse.json": lambda: 1 << 40,
    "lines_junk.csv": lambda: b"junk\n" * 3_000_000,
    "lines_junk_titled.csv": lambda: HEAD + (b"not a row, whatever it was meant to be: %s\n" % (b"x" * 250)) * MANY,
    "lines_bad_cells.csv": lambda: HEAD + BAD * MANY,
    "lines_some_cells.csv": _some_cells,
    "lines_many.csv": lambda: lines(rows(random.Random(0), MANY), ";", ",", FORM).encode(),
    "lines_empty.csv": lambda: b"\n" * 15_900_000,
    "lines_delimiters.csv": lambda: HEAD + b";" * 15_900_000,
    "lines_quotes.csv": lambda: HEAD + b'a";"b\n' * MANY,
    "lines_long_quotes.csv": lambda: HEAD + (b"a" * 300 + b'";"b\n') * MANY,
    "lines_open_quote.csv": lambda: HEAD + b'"' + VISIT * MANY,
    "lines_astral.csv": lambda: HEAD + VISIT * MANY + "😀".encode() * 2_800_000,
    "lines_wide.csv": lambda: b"\xff\xfe" + b"\x00\xd8" * 7_900_000,
    "objects_lists.jsonl": lambda: b"[" + b"[]," * 5_000_000 + b"[]]",
    "objects_deep.jsonl": lambda: b"[" * 15_000_000,
    "objects_many.jsonl": lambda: b'{"Cow":' + b"[" * 500 + b"]" * 500 + b"}\n" + b'{"Cow": "1"}\n' * MANY,
    "icar_lists.json": lambda: b'{"milkingStartingDateTime": [' + b"[]," * 5_000_000 + b"[]]}",
    "icar_members.json": lambda: b'{"member": [' + b'{"milkingStartingDateTime": 1},' * 480_000 + b"{}]}",
    "icar_objects.json": lambda: b'{"member": [' + b"{}," * 5_000_000 + b'{"milkingStartingDateTime": 1}]}',
    "icar_visits.json": lambda: icar(rows(random.Random(0), 20_000), None).encode(),
    "icar_quarters.json": lambda: b'{"member": [' + ITEM + b"0," * 400_000 + b"0]}]}",
    "icar_digits.json": lambda: b'{"milkingStartingDateTime": ' + b"9" * 15_000_000 + b"}",
    "icar_rest.json": lambda: b'{"milkingStartingDateTime": 1' + _keys() + b"}",
    "book_bomb.xlsx": lambda: packed(SHEET % (b"\n" * 300_000_000)),
    "book_cells.xlsx": lambda: packed(SHEET % (TITLED + b"<row>" + b"<c/>" * 15_000_000 + b"</row>")),
    "book_rows.xlsx": lambda: packed(SHEET % (TITLED + b"<row><c><v>1</v></c></row>" * 1_000_000)),
    "book_far_row.xlsx": lambda: packed(SHEET % (TITLED + b"<row r='2000000000'><c><v>1</v></c></row>")),
    "book_far_column.xlsx": lambda: packed(SHEET % (TITLED + _far_columns())),
    "book_styles.xlsx": lambda: styled(3_000_000),
    "book_texts.xlsx": lambda: texted(3_000_000),
    "book_parts.xlsx": lambda: packed(SHEET % TITLED) + b"PK\x01\x02" * 100_000,
}
"""What makes each; a large one is not to lie in memory beside the next."""


def giants(only: Iterable[str] = ()) -> Iterator[File]:
    """The large files, or `only` some, one after the other."""
    for name in only or GIANTS:
        yield name, GIANTS[name]()
