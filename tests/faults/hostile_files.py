"""Exports that went wrong in every way: seeded mutants of each form, and what becomes of them on the real reading path.

    PYTHONPATH=tests python -m faults.hostile_files SEED CASES [heavy]

`hostile(seed, cases)` gives the files, `tried(seed, cases)` puts them into a farm's inbox a hundred at a time, lets a
real service look, and says what was read and set aside, how long it took at most and how much memory. A file that is
neither read nor told of, and one that stops a good one behind it, is an `AssertionError`. `apart` does the same in a
process of its own, as memory can only be told of a whole process. `heavy` adds the few large ones (`giants`).
"""

from __future__ import annotations

import io
import json
import logging
import os
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from sentinel.edges.settings import Secrets
from sentinel.edges.store import Store
from sentinel.flow.setup import Setup, read_setup
from sentinel.service import Farmyard, Service
from sentinel.simulate.workbook import xlsx_file

RULES = Path(__file__).parents[2] / "rules"
BEGIN = int(datetime(2026, 5, 1, 12, tzinfo=UTC).timestamp())
AT_ONCE = 100
"""So many files are in the folder at once."""

FARM = 'name: Tinfield\nzone: Europe/Dublin\nboxes: ["1", "2"]\n'
TABLES = """\
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: Milk
    outcome: {column: Ended, words: {ok: milked, none: failed}}
    attempts: Tries
  quarters:
    each: quarter
    conductivity_mS_cm: {column: "{quarter} cond", reference_temperature_C: 25}
    kicked_off: "{quarter} kicks"
"""
FEEDS = {
    "feeds/lines.yaml": 'feed: lines\nfiles: "lines_*.csv"\ndelimiter: ";"\ndecimal: ","\nencoding: cp1252\n'
    + 'times: "%d.%m.%Y %H:%M"\n'
    + TABLES,
    "feeds/words.yaml": 'feed: words\nfiles: "words_*.csv"\ntimes: "%d %B %Y %H:%M"\n' + TABLES,
    "feeds/book.yaml": 'feed: book\nfiles: "book_*.xlsx"\nform: xlsx\n' + TABLES,
    "feeds/objects.yaml": 'feed: objects\nfiles: "objects_*.jsonl"\nform: json_lines\n' + TABLES,
}
TITLES = ["Cow", "Start", "Box", "Milk", "Ended", "Tries"] + [f"{q} {n}" for n in ("cond", "kicks") for q in ("LF", "RF", "LR", "RR")]

File = tuple[str, "bytes | int"]
"""A file's name, and its content or, of a sparse one, its size in bytes."""


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of some files.

    `read`: some rows of it could be read; `whole`: set aside whole; `part`: some rows of it were; `unmapped`: told that
    no map is for it. `longest_s`: of a hundred of them with the look at them. `greatest_mb`: the greatest memory of the
    process that read them, and `child_mb` of one that unpacked a workbook (both resident).
    """

    cases: int
    read: int
    whole: int
    part: int
    unmapped: int
    longest_s: float
    greatest_mb: float
    child_mb: float


# --- good exports -----------------------------------------------------------------------------------------


def _rows(dice: random.Random, many: int) -> list[list[object]]:
    """Rows of visits in the order of `TITLES`: text, a moment, numbers."""
    rows: list[list[object]] = []
    for number in range(many):
        start = BEGIN - 86400 + (number * 600 + dice.randrange(300) if many < 100 else number * 86000 // many // 60 * 60)
        cells: list[object] = [str(dice.randrange(1, max(60, many // 3))), start, dice.choice("12"), round(dice.uniform(5, 18), 1)]
        rows.append([*cells, dice.choice(["ok", "ok", "none"]), 1, *(round(dice.uniform(4, 7), 2) for _ in range(4)), 0, 1, 0, 0])
    return rows


def _lines(rows: list[list[object]], delimiter: str, decimal: str, form: str) -> str:
    """Delimited text."""

    def cell(value: object, place: int) -> str:
        text = datetime.fromtimestamp(int(value), UTC).strftime(form) if place == 1 else str(value)  # type: ignore[call-overload]
        return text if place == 1 else text.replace(".", decimal)

    lines = [delimiter.join(cell(v, i) for i, v in enumerate(row)) for row in rows]
    return "\n".join([delimiter.join(TITLES), *lines, ""])


def _book(rows: list[list[object]]) -> bytes:
    head: list[list[object]] = [list(TITLES)]
    moments = [[*row[:1], datetime.fromtimestamp(int(row[1]), UTC).replace(tzinfo=None), *row[2:]] for row in rows]  # type: ignore[call-overload]
    return xlsx_file("log", head + moments)  # type: ignore[arg-type]


def _objects(rows: list[list[object]]) -> str:
    stamped = [{**dict(zip(TITLES, row, strict=True)), "Start": _iso(row[1])} for row in rows]
    return "".join(json.dumps(one) + "\n" for one in stamped)


def _iso(moment: object) -> str:
    return datetime.fromtimestamp(int(moment), UTC).isoformat()  # type: ignore[call-overload]


def _icar(rows: list[list[object]]) -> str:
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

    return json.dumps({"meta": {"page": 1}, "member": [item(row) for row in rows]}, indent=1)


# --- what goes wrong --------------------------------------------------------------------------------------

STRANGE = (
    "9223372036854775807 9223372036854775808 -9223372036854775809 18446744073709551616 1e308 1e309 -1e400 nan inf -0 "
    "0x10 1_000 ٣٤٥ 1,5 1.5 1.234,5 +5 −5 true null None =1+1 @x 00 31.12.9999 0000-00-00 9999-12-31T23:59:59+14:00 "
    "0001-01-01T00:00:00-14:00 29.03.2026 25.10.2026 1e18 -1 2026-13-45"
).split() + [
    "", " ", '"', '""', '"""', "a\";\"b", "\x00", "\x00" * 300, "9" * 400, "9" * 5000, "1." + "3" * 200_000, "x" * 200_000, "\u202e" * 50, "😀" * 500,
    "\ufeff", "\u2028", "\x1a", "\x0b", "\r", "\r\n\r\n", "<script>alert(1)</script>", "'; drop table visits; --", "{quarter}", "%s%n", "../../etc",
    "25.10.2026 01:30", "31.12.9999 23:59", "01.01.0001 00:00", "01 January 9999 00:00", "9999-12-31 23:59:59.999999", "[[[[", "}}}}", "\\u0000", "\\ud800",
]  # fmt: skip


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
            lambda: content.replace(dice.choice([b"\n", b";", b",", b'"', b"0", b"}"]), dice.choice([b"", b"\r", b'"', b"\x00", b"\n\n"])),
            lambda: dice.randbytes(dice.randrange(3000)),
            lambda: b"",
        ]
    )()  # fmt: skip


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
    )()  # fmt: skip


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
        lambda: text.replace('r="3"', f'r="{dice.choice(["2000000000", "0", "-5", "1e9", "99999999999999999999", "1048577"])}"'),
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
    ]  # fmt: skip
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
        rows = _rows(dice, dice.choice([1, 3, 12, 30]))
        kind = dice.choice(["lines", "lines", "words", "book", "objects", "icar", "icar"])
        name = f"{kind}_{number}"
        rounds = dice.choice([1, 1, 1, 2, 4])
        if kind == "book":
            content = _book(rows)
            for _ in range(rounds):
                content = _mangled_book(dice, content)
            yield f"{name}.xlsx", content
            continue
        if kind == "lines":
            text, marks, end = _lines(rows, ";", ",", "%d.%m.%Y %H:%M"), ';\n,"', "csv"
        elif kind == "words":
            text, marks, end = _lines(rows, ",", ".", "%d %B %Y %H:%M"), ',\n. "', "csv"
        elif kind == "objects":
            text, marks, end = _objects(rows), ',:{}"\n', "jsonl"
        else:
            text, marks, end = _icar(rows), ',:{}"\n', "json"
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


# --- a few large ones -------------------------------------------------------------------------------------


def packed(sheet: bytes, **others: bytes) -> bytes:
    """A workbook with that sheet and other parts, as small as packing makes it."""
    with zipfile.ZipFile(io.BytesIO(_book([]))) as good:
        parts = {name: good.read(name) for name in good.namelist()}
    parts[next(name for name in parts if "sheet1" in name)] = sheet
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name, data in (parts | others).items():
            book.writestr(name, data)
    return out.getvalue()


SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>%s</sheetData></worksheet>'
HEAD = ";".join(TITLES).encode() + b"\n"


def giants() -> Iterator[File]:
    """Files that once took gigabytes, or that look as if they could: each by the memory or the time that it is after."""
    visit = _lines(_rows(random.Random(0), 1), ";", ",", "%d.%m.%Y %H:%M").encode()[len(HEAD) :]
    many = _lines(_rows(random.Random(0), 49_000), ";", ",", "%d.%m.%Y %H:%M").encode()
    titled = b"<row r='1'>" + b"".join(b"<c t='inlineStr'><is><t>%s</t></is></c>" % t.encode() for t in TITLES) + b"</row>"
    yield "lines_nul.csv", b"\x00" * 130_000
    yield "lines_nul_titled.csv", HEAD + b"\x00" * 130_000
    yield "lines_titles.csv", b";".join(b"title %d" % n for n in range(60_000)) + b"\n"
    yield "lines_sparse.csv", 1 << 40
    yield "icar_sparse.json", 1 << 40
    yield "lines_junk.csv", b"junk\n" * 3_000_000
    yield "lines_junk_titled.csv", HEAD + b"not a row, whatever it was meant to be: %s\n" % (b"x" * 250) * 49_000
    yield "lines_bad_cells.csv", HEAD + (b"x" * 15 + b";") * 12 + b"x" * 15 + b"\n" + (b";".join([b"1", b"30.04.2026 10:00", *[b"x" * 15] * 12]) + b"\n") * 49_000
    yield "lines_some_cells.csv", HEAD + b"".join(b"%d;30.04.2026 10:00;1;%s;ok;1;5;5;%s;5;0;0;0;0\n" % (n, b"x" if n % 2 else b"5", b"x" if n % 3 else b"5") for n in range(49_000))
    yield "lines_many.csv", many
    yield "lines_empty.csv", b"\n" * 15_900_000
    yield "lines_delimiters.csv", HEAD + b";" * 15_900_000
    yield "lines_quotes.csv", HEAD + b'a";"b\n' * 49_000
    yield "lines_long_quotes.csv", HEAD + (b'a' * 300 + b'";"b\n') * 49_000
    yield "lines_open_quote.csv", HEAD + b'"' + visit * 49_000
    yield "lines_astral.csv", HEAD + visit * 49_000 + "😀".encode() * 2_800_000
    yield "lines_wide.csv", b"\xff\xfe" + b"\x00\xd8" * 7_900_000
    yield "objects_lists.jsonl", b"[" + b"[]," * 5_000_000 + b"[]]"
    yield "objects_deep.jsonl", b"[" * 15_000_000
    yield "objects_many.jsonl", b'{"Cow":' + b"[" * 500 + b"]" * 500 + b"}\n" + b'{"Cow": "1"}\n' * 49_000
    yield "icar_lists.json", b'{"milkingStartingDateTime": [' + b"[]," * 5_000_000 + b"[]]}"
    yield "icar_members.json", b'{"member": [' + b'{"milkingStartingDateTime": 1},' * 480_000 + b"{}]}"
    yield "icar_objects.json", b'{"member": [' + b"{}," * 5_000_000 + b'{"milkingStartingDateTime": 1}]}'
    yield "icar_quarters.json", b'{"member": [{"animal": {"id": "1"}, "milkingStartingDateTime": "2026-05-01T10:00:00Z", "quarterMilkings": [' + b"0," * 400_000 + b"0]}]}"
    yield "icar_digits.json", b'{"milkingStartingDateTime": ' + b"9" * 15_000_000 + b"}"
    yield "icar_rest.json", b'{"milkingStartingDateTime": 1' + b"".join(b',"k%d": [[],[],[],[],[]]' % n for n in range(500_000)) + b"}"
    yield "book_bomb.xlsx", packed(SHEET % (b"\n" * 300_000_000))
    yield "book_cells.xlsx", packed(SHEET % (titled + b"<row>" + b"<c/>" * 15_000_000 + b"</row>"))
    yield "book_rows.xlsx", packed(SHEET % (titled + b"<row><c><v>1</v></c></row>" * 1_000_000))
    yield "book_far_row.xlsx", packed(SHEET % (titled + b"<row r='2000000000'><c><v>1</v></c></row>"))
    yield "book_far_column.xlsx", packed(SHEET % (titled + b"".join(b"<row r='%d'><c r='ZZZ%d'><v>1</v></c></row>" % (n, n) for n in range(2, 3000))))
    yield "book_styles.xlsx", packed(SHEET % titled, **{"xl/styles.xml": b'<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs>' + b"<xf/>" * 3_000_000 + b"</cellXfs></styleSheet>"})
    yield "book_texts.xlsx", packed(SHEET % titled, **{"xl/sharedStrings.xml": b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">' + b"<si><t/></si>" * 3_000_000 + b"</sst>"})
    yield "book_parts.xlsx", packed(SHEET % titled) + b"PK\x01\x02" * 100_000


# --- the real reading path --------------------------------------------------------------------------------


class Ticking:
    """A clock that the run moves on; files count as old at once."""

    def __init__(self) -> None:
        self.at = BEGIN

    def now(self) -> int:
        """The moment."""
        return self.at

    def steady(self) -> float:
        """The same in steady seconds."""
        return float(self.at)

    def stamps(self) -> float:
        """What files are stamped with."""
        return float(self.at)

    def wait(self, event: threading.Event, until: float | None) -> bool:
        """Nobody waits here."""
        return event.is_set()


def setup() -> Setup:
    """The farm on which all this lands: the rules that tell of it, and one of cows."""
    rules = {f"rules/{name}": (RULES / name).read_text(encoding="utf-8") for name in ("feeds.yaml", "cows.yaml", "boxes.yaml")}
    found, problems = read_setup({"farm.yaml": FARM, **FEEDS, **rules})
    assert found is not None, problems
    return found


def tried(files: Iterator[File], folder: Path) -> Tally:
    """Let a service read the files, a hundred at a time, and see that each is read or told of, and the next one too."""
    logging.getLogger("sentinel").setLevel(logging.CRITICAL)
    logging.getLogger("sentinel").addHandler(logging.NullHandler())
    known, inbox = setup(), folder / "exports"
    inbox.mkdir(parents=True)
    cases = read = whole = part = unmapped = 0
    longest = 0.0
    more = True
    while more:
        some = [file for _, file in zip(range(AT_ONCE), files, strict=False)]
        more = len(some) == AT_ONCE
        for name, content in some:
            _put(inbox / name, content)
        good = f"lines_good_{cases}.csv"
        _put(inbox / good, _lines(_rows(random.Random(cases), 5), ";", ",", "%d.%m.%Y %H:%M").encode(), later=60)
        said: list[str] = []
        began = time.perf_counter()
        service = Service(Farmyard(folder, known, Secrets({}), Store(None)), Ticking(), {}, heard=lambda one, said=said: said.append(str(one)))  # type: ignore[arg-type, misc]
        service.catch_up()
        longest = max(longest, time.perf_counter() - began)
        kept = {row["file"]: row for row in service.store.rows("select file, rows_read, rows_set_aside, rows_in_part, reason from files")}
        whole_files = {row["file"] for row in service.store.rows("select f.file from files f join set_aside s on s.file_id = f.id where s.line = 0")}
        assert kept[good]["rows_read"] == 5, "a good export was not read"
        for name, content in some:
            cases += 1
            if name not in kept:
                assert any(name in one for one in said), f"{name}: neither read nor told of"
                unmapped += 1
                continue
            row = kept[name]
            read += row["rows_read"] > 0
            whole += name in whole_files
            part += name not in whole_files and row["rows_set_aside"] + row["rows_in_part"] > 0
            assert not row["reason"].startswith(("reading it failed", "it cannot be stored")), f"{name}: {row['reason']}"
            assert len(row["reason"]) <= 1001
        service.store.close()
        for path in inbox.iterdir():
            path.unlink()
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return Tally(cases, read, whole, part, unmapped, round(longest, 2), greatest_mb(), round(child, 1))


def greatest_mb() -> float:
    """The greatest memory of this process so far, resident, in MB (of 1024 kB)."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")  # ru_maxrss begins with that of the parent
        return round(int(status.partition("VmHWM:")[2].split()[0]) / 1024, 1)
    except (OSError, IndexError):
        return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, 1)


def _put(path: Path, content: bytes | int, later: int = 0) -> None:
    with path.open("wb") as file:
        if isinstance(content, int):
            file.truncate(content)
        else:
            file.write(content)
    os.utime(path, (BEGIN - 1000 + later, BEGIN - 1000 + later))


def apart(seed: int, cases: int, heavy: bool = False) -> Tally:
    """The same in a process of its own, so that its memory can be told."""
    line = [sys.executable, "-m", "faults.hostile_files", str(seed), str(cases), *(["heavy"] if heavy else [])]
    roots = os.pathsep.join(str(Path(__file__).parents[n]) for n in (1, 2))
    done = subprocess.run(line, capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": roots})
    assert done.returncode == 0, done.stderr[-3000:]
    return Tally(**json.loads(done.stdout))


def main(seed: int, cases: int, heavy: bool) -> None:
    """Try so many, and print what became of them."""
    files = giants() if heavy else hostile(seed, cases)
    with tempfile.TemporaryDirectory() as folder:
        found = tried(files, Path(folder))
    sys.stdout.write(json.dumps(asdict(found)) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), "heavy" in sys.argv[3:])
