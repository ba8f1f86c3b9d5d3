"""Good exports of every form, and seeded mutants of them, the same for the same seed; `spoilt` says what went wrong."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

from faults.files.spoilt import encoded, in_book, in_bytes, in_json, in_table, in_text, named, spliced

from sentinel.simulator.exports.workbook import xlsx_file

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


# --- what goes wrong with them ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Form:
    """A form of export: the end of its names, its good text by its rows, what parts its cells, its own encoding."""

    end: str
    text: Callable[[list[list[object]]], str]
    marks: str
    delimiter: str = ""
    encoding: str = "utf-8"


def _others(rows: list[list[object]]) -> str:
    """The tables besides visits, side by side: events of boxes, the herd list, the tank, milk recordings."""
    titles = "Cow,Start,Box,Event,Group,Calved,Status,Litres,Temp,Cells"
    rest = "filter,A,2026-01-01,milk"
    cells = [f"{cow},{_iso(at)},{box},{rest},{kg}0,3.9,{n * 10 + 50}" for n, (cow, at, box, kg, *_) in enumerate(rows)]
    return "\n".join([titles, *cells, ""])


FORMS = {
    "lines": Form("csv", lambda made: lines(made, ";", ",", "%d.%m.%Y %H:%M"), ';\n,"', ";", "cp1252"),
    "words": Form("csv", lambda made: lines(made, ",", ".", "%d %B %Y %H:%M"), ',\n. "', ","),
    "wide": Form("txt", lambda made: lines(made, "\t", ".", "%Y-%m-%d %H:%M"), '\t\n. "', "\t", "utf-16"),
    "others": Form("csv", _others, ',\n. "', ","),
    "objects": Form("jsonl", _objects, ',:{}"\n'),
    "icar": Form("json", icar, ',:{}"\n'),
}
"""Those that are text; a `book` is packed."""

KINDS = ["lines", "lines", "words", "wide", "others", "book", "objects", "icar", "icar"]
POOL = 25
"""So many good exports of each form are mutated by one seed."""

LONGEST_TEXT, LONGEST = 400_000, 1_600_000


def hostile(seed: int, cases: int) -> Iterator[File]:
    """Seeded mutants of good exports of every form; the same seed gives the same files."""
    dice = random.Random(seed)
    pool = [rows(dice, many) for many in [1, 3, 12, 30] * 7][:POOL]
    texts = {kind: [form.text(made) for made in pool] for kind, form in FORMS.items()}
    books = [book(made) for made in pool]
    for number in range(cases):
        kind = dice.choice(KINDS)
        rounds = dice.choice([1, 1, 1, 2, 4])
        if kind == "book":
            content, end = dice.choice(books), "xlsx"
            for _ in range(rounds):
                content = in_book(dice, content)
        else:
            form, text = FORMS[kind], dice.choice(texts[kind])
            if dice.random() < 0.8:
                text = _mangled(dice, form, text, rounds)
            content, end = encoded(dice, text, form.encoding), form.end
            if dice.random() < 0.25:
                kept = dice.choice([0, content.find(b"\n") + 1])
                content = content[:kept] + in_bytes(dice, content[kept:])
        if dice.random() < 0.03:
            content = spliced(dice, content, dice.choice([dice.choice(books), dice.choice(texts["icar"]).encode()]))
        yield named(dice, kind, number, end), content[:LONGEST]


def _mangled(dice: random.Random, form: Form, text: str, rounds: int) -> str:
    """A text in which something became another; of lines the titles are mostly kept, or nothing below would be read."""
    if not form.delimiter and dice.random() < 0.6:
        if form.end == "json":
            return in_json(dice, text)
        return "".join(
            in_json(dice, line) + "\n" if dice.random() < 0.5 else line + "\n" for line in text.split("\n")[:-1]
        )
    kept, rest = "", text
    if dice.random() < 0.7 and form.delimiter:
        kept, _, rest = text.partition("\n")
        kept += "\n"
    for _ in range(rounds):
        tabular = form.delimiter and dice.random() < 0.5
        rest = (in_table(dice, rest, form.delimiter) if tabular else in_text(dice, rest, form.marks))[:LONGEST_TEXT]
    return kept + rest
