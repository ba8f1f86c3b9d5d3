"""Good exports of every form, and what goes wrong with them: seeded mutants, the same for the same seed."""

from __future__ import annotations

import io
import json
import random
import zipfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

from sentinel.simulate.workbook import xlsx_file

BEGIN = int(datetime(2026, 5, 1, 12, tzinfo=UTC).timestamp())
QUARTERS = ("LF", "RF", "LR", "RR")
TITLES = ["Cow", "Start", "Box", "Milk", "Ended", "Tries", *(f"{q} {n}" for n in ("cond", "kicks") for q in QUARTERS)]

File = tuple[str, "bytes | int"]
"""A file's name, and its content or, of a sparse one, its size in bytes."""


# --- good exports -----------------------------------------------------------------------------------------


def rows(dice: random.Random, many: int) -> list[list[object]]:
    """Rows of visits in the order of `TITLES`: text, a moment, numbers."""
    found: list[list[object]] = []
    for number in range(many):
        after = number * 600 + dice.randrange(300) if many < 100 else number * 86000 // many // 60 * 60
        cow, box = str(dice.randrange(1, max(60, many // 3))), dice.choice("12")
        cells: list[object] = [cow, BEGIN - 86400 + after, box, round(dice.uniform(5, 18), 1)]
        conductivities = [round(dice.uniform(4, 7), 2) for _ in range(4)]
        found.append([*cells, dice.choice(["ok", "ok", "none"]), 1, *conductivities, 0, 1, 0, 0])
    return found


def lines(rows: list[list[object]], delimiter: str, decimal: str, form: str) -> str:
    """Delimited text."""

    def cell(value: object, place: int) -> str:
        text = datetime.fromtimestamp(int(value), UTC).strftime(form) if place == 1 else str(value)  # type: ignore[call-overload]
        return text if place == 1 else text.replace(".", decimal)

    found = [delimiter.join(cell(v, i) for i, v in enumerate(row)) for row in rows]
    return "\n".join([delimiter.join(TITLES), *found, ""])


def book(rows: list[list[object]]) -> bytes:
    """A workbook."""
    head: list[list[object]] = [list(TITLES)]
    moments = [[*row[:1], datetime.fromtimestamp(int(row[1]), UTC).replace(tzinfo=None), *row[2:]] for row in rows]  # type: ignore[call-overload]
    return xlsx_file("log", head + moments)  # type: ignore[arg-type]


def _objects(rows: list[list[object]]) -> str:
    stamped = [{**dict(zip(TITLES, row, strict=True)), "Start": _iso(row[1])} for row in rows]
    return "".join(json.dumps(one) + "\n" for one in stamped)


def _iso(moment: object) -> str:
    return datetime.fromtimestamp(int(moment), UTC).isoformat()  # type: ignore[call-overload]


def icar(rows: list[list[object]], indent: int | None = 1) -> str:
    """A collection of visits in ICAR ADE JSON."""

    def item(row: list[object]) -> dict[str, object]:
        quarters = [
            {
                "icarQuarterId": q,
                "icarQuarterCharacteristics": [{"characteristic": "AVGCOND", "value": str(row[6 + i]), "unit": "H61"}],
            }
            for i, q in enumerate(("LF", "RF", "LR", "RR"))
        ]
        return {
            "resourceType": "icarMilkingVisitEventResource",
            "animal": {"id": row[0], "scheme": "example.tinfield"},
            "milkingStartingDateTime": _iso(row[1]),
            "milkingBoxNumber": row[2],
            "milkingMilkWeight": {"unitCode": "KGM", "value": row[3]},
            "milkingComplete": row[4] == "ok",
            "quarterMilkings": quarters,
        }

    return json.dumps({"meta": {"page": 1}, "member": [item(row) for row in rows]}, indent=indent)


# --- what goes wrong --------------------------------------------------------------------------------------

STRANGE = [
    *"9223372036854775807 9223372036854775808 -9223372036854775809 18446744073709551616 1e308 1e309 -1e400 nan".split(),
    *"inf -0 0x10 1_000 ٣٤٥ 1,5 1.5 1.234,5 +5 −5 true null None =1+1 @x 00 31.12.9999 0000-00-00 1e18 -1".split(),
    *"9999-12-31T23:59:59+14:00 0001-01-01T00:00:00-14:00 29.03.2026 25.10.2026 2026-13-45 ../../etc %s%n".split(),
    *["", " ", '"', '""', '"""', 'a";"b', "\x00", "\x00" * 300, "9" * 400, "9" * 5000, "1." + "3" * 200_000],
    *["x" * 200_000, "\u202e" * 50, "😀" * 500, "\ufeff", "\u2028", "\x1a", "\x0b", "\r", "\r\n\r\n", "{quarter}"],
    *["<script>alert(1)</script>", "'; drop table visits; --", "[[[[", "}}}}", "\\u0000", "\\ud800", "\x1b[2J"],
    *["25.10.2026 01:30", "31.12.9999 23:59", "01.01.0001 00:00", "01 January 9999 00:00", "9999-12-31 23:59:59.9"],
]


def _bytes(dice: random.Random, content: bytes) -> bytes:
    """Somewhere in it something happened to its bytes."""
    at, long = dice.randrange(len(content) + 1), dice.choice([1, 1, 2, 7, 64, 1000])
    some = content[at : at + long]
    return dice.choice(
        [
            lambda: content[:at],
            lambda: content[:at] + b"\x00" * dice.choice([1, 512, 4096, len(content)]),
            lambda: content[:at] + dice.randbytes(long) + content[at + long :],
            lambda: content[:at] + content[at + long :],
            lambda: content[:at] + some * dice.choice([2, 3, 50]) + content[at:],
            lambda: content[at:] + content[:at],
            lambda: content[:at] + bytes(b ^ 1 << dice.randrange(8) for b in some) + content[at + long :],
            lambda: content.replace(
                dice.choice([b"\n", b";", b",", b'"', b"0", b"}"]), dice.choice([b"", b"\r", b'"', b"\x00", b"\n\n"])
            ),
            lambda: dice.randbytes(dice.randrange(3000)),
            lambda: b"",
        ]
    )()


def _text(dice: random.Random, text: str, marks: str) -> str:
    """Somewhere in it a cell, a line or a mark became another."""
    begin = dice.randrange(len(text) + 1)
    end = begin
    while end < len(text) and text[end] not in marks:
        end += 1
    lines = text.split("\n")
    strange = dice.choice(STRANGE)
    flood = dice.choice(['a";"b', '"', '""";', ";" * 300, ",", "[]", "{", "\x00", "x"]) + dice.choice(["", "\n"])
    return dice.choice(
        [
            lambda: text[:begin] + strange + text[end:],
            lambda: text[:begin] + strange + text[begin:],
            lambda: "\n".join(line.replace(dice.choice("0123456789"), strange[:50]) for line in lines),
            lambda: "\n".join(dice.sample(lines, len(lines))),
            lambda: "\n".join(lines * dice.choice([2, 20])),
            lambda: text[:begin] + flood * dice.choice([3, 100, 3000]) + text[begin:],
            lambda: "\n".join(line[: dice.randrange(len(line) + 1)] for line in lines),
            lambda: "\n".join([strange, *lines[1:]]),
            lambda: text.replace(dice.choice(marks), dice.choice(marks)),
            lambda: text[:begin],
        ]
    )()


def _encoded(dice: random.Random, text: str) -> bytes:
    """The text in some encoding, with or without a mark of this or another one."""
    names = ["utf-8"] * 6 + ["cp1252", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-7", "cp037"]
    marks = [b""] * 12 + [b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b"\xff\xfe\x00\x00"]
    return dice.choice(marks) + text.encode(dice.choice(names), dice.choice(["replace", "backslashreplace", "ignore"]))


def _parts(dice: random.Random, content: bytes) -> bytes:
    """A workbook in one part of which something became another, packed again."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    name = dice.choice([*parts, *(n for n in parts if "sheet" in n)] * 2)
    text = parts[name].decode()
    changes: list[Callable[[], str]] = [
        lambda: text.replace('r="3"', f'r="{dice.choice(["2000000000", "0", "-5", "1e9", "9" * 20, "1048577"])}"'),
        lambda: text.replace('r="B2"', f'r="{dice.choice(["XFD2", "ZZZ2", "AAAA2", "B2000000000", "", "2B"])}"'),
        lambda: text.replace("<v>", f"<v>{dice.choice(STRANGE[:20])}", dice.choice([1, 5, -1])),
        lambda: text.replace('t="inlineStr"', f't="{dice.choice(["s", "b", "d", "e", "str", "zz"])}"'),
        lambda: text.replace("<c ", f'<c s="{dice.choice(["99", "-1", "1", "x"])}" ', dice.choice([1, -1])),
        lambda: text.replace("<row", "<row><c/></row><row", dice.choice([1, 5, -1])),
        lambda: text.replace("<sheetData>", "<sheetData>" + "<row/>" * 3000),
        lambda: text.replace("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>'),
        lambda: text.replace("</row>", "<c/>" * 3000 + "</row>", 1),
        lambda: '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]>' + text.replace("<v>", "<v>&b;"),
        lambda: _text(dice, text, '<>"= '),
    ]
    parts[name] = dice.choice(changes)().encode("utf-8", "replace")
    if dice.random() < 0.1:
        del parts[dice.choice(list(parts))]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", dice.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])) as packed:
        for one, data in parts.items():
            packed.writestr(one, data)
    return out.getvalue()


def hostile(seed: int, cases: int) -> Iterator[File]:
    """Seeded mutants of good exports of every form; the same seed gives the same files."""
    dice = random.Random(seed)
    for number in range(cases):
        made = rows(dice, dice.choice([1, 3, 12, 30]))
        kind = dice.choice(["lines", "lines", "words", "book", "objects", "icar", "icar"])
        name = f"{kind}_{number}"
        rounds = dice.choice([1, 1, 1, 2, 4])
        if kind == "book":
            content = book(made)
            for _ in range(rounds):
                content = _mangled_book(dice, content)
            yield f"{name}.xlsx", content
            continue
        if kind == "lines":
            text, marks, end = lines(made, ";", ",", "%d.%m.%Y %H:%M"), ';\n,"', "csv"
        elif kind == "words":
            text, marks, end = lines(made, ",", ".", "%d %B %Y %H:%M"), ',\n. "', "csv"
        elif kind == "objects":
            text, marks, end = _objects(made), ',:{}"\n', "jsonl"
        else:
            text, marks, end = icar(made), ',:{}"\n', "json"
        if dice.random() < 0.7:
            for _ in range(rounds):
                text = _text(dice, text, marks)[:400_000]
        content = _encoded(dice, text)
        if dice.random() < 0.4:
            content = _bytes(dice, content)
        yield f"{name}.{end}", content[:1_600_000]


def _mangled_book(dice: random.Random, content: bytes) -> bytes:
    """A workbook with something wrong in its parts or, as often, in its bytes."""
    if dice.random() < 0.5:
        return _bytes(dice, content)
    try:
        return _parts(dice, content)
    except Exception:  # it is no workbook any more
        return _bytes(dice, content)
