"""Exports of which something cannot be read, one for nearly every reason there is.

    PYTHONPATH=tests:. python tests/edges/store/schema/bad_exports.py

In a checkout of schema 6 this has made `reasons_v6.sql`: the store into which they were read, which had the reasons as
English sentences. It is kept as it is, and never made anew.
"""

from __future__ import annotations

import io
import json
import sys
from dataclasses import replace
from pathlib import Path

import openpyxl

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import save_alerts
from sentinel.edges.store.exports.ingest import ingest
from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds import load_feed_map, read_export, read_icar
from sentinel.flow.model import Alert, Batch, Export

AT = 1_777_881_600
FEW = Bounds(rows=20, cells=200, size=30_000)
VISITS = """
feed: visits
files: "*"
delimiter: ";"
decimal: ","
times: "%d.%m.%Y %H:%M"
zone: Europe/Berlin
clock_change: {repeated: set_aside, skipped: set_aside}
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    duration_s: {column: Stay, unit: "mm:ss"}
    outcome: {column: Ended, words: {done: milked, cut short: incomplete}}
    milk_kg: Kg
    attempts: Tries
"""
HEAD = "Cow;Start;Box;Stay;Ended;Kg;Tries\n"
GOOD = "7;28.03.2026 06:30;1;5:32;done;9,5;1\n"
LINES = """
feed: lines
files: "*"
form: json_lines
times: epoch_s
tables:
  visits: {cow: cow, start: start, milk_kg: kg}
"""
BOOK = 'feed: book\nfiles: "*"\nform: xlsx\n{more}tables:\n  visits: {{cow: Cow, start: Start, milk_kg: Kg}}\n'
STAMPED = VISITS.replace("zone:", 'complete_until: {from: file_name, pattern: "v_%Y%m%d"}\nzone:').replace(
    "start: Start", "start: {stamp: true}"
)
WITH_ISO = VISITS.replace('times: "%d.%m.%Y %H:%M"', "times: iso")

DELIMITED: tuple[tuple[str, bytes], ...] = tuple(
    (form, content if isinstance(content, bytes) else content.encode())
    for form, content in (
        (VISITS, HEAD + GOOD.replace("9,5", "9.5")),
        (VISITS, HEAD + GOOD.replace("9,5", "x")),
        (VISITS, HEAD + GOOD.replace("9,5", "9" * 50)),
        (VISITS, HEAD + GOOD.replace(";1\n", ";1,5\n")),
        (VISITS, HEAD + GOOD.replace("5:32", "5:99")),
        (VISITS, HEAD + GOOD.replace("done", "dnoe")),
        (VISITS, HEAD + GOOD.replace("done", "what is this?")),
        (VISITS, HEAD + GOOD.replace("28.03.2026", "32.03.2026")),
        (VISITS, HEAD + GOOD.replace("28.03.2026 06:30", "k" * 150)),
        (VISITS, HEAD + GOOD.replace("2026", "1926")),
        (VISITS, HEAD + GOOD.replace("28.03.2026 06:30", "29.03.2026 02:30")),
        (VISITS, HEAD + GOOD.replace("28.03.2026 06:30", "25.10.2026 02:30")),
        (VISITS, HEAD + GOOD.replace("7;", ";", 1)),
        (VISITS, HEAD + GOOD.replace("7;", "7" * 1100 + ";", 1)),
        (VISITS, HEAD + "7;32.03.2026 06:30;1;5:99;dnoe;x;1,5\n" + GOOD),
        (VISITS, HEAD + "7;28.03.2026 06:30\n" + GOOD),
        (VISITS, HEAD + GOOD.replace("\n", ";8;9\n")),
        (VISITS, (HEAD + GOOD).encode() + b"8;28.03.2026 06:30;B\xff;5:32;done;9,5;1\n"),
        (VISITS, HEAD + '8;28.03.2026 06:30;"1;5:32;done;9,5;1\n' + GOOD),
        (VISITS, HEAD.replace("Kg", "Kilos").replace("Ended", "Endd")),
        (VISITS, "x\n"),
        (VISITS, ""),
        (VISITS.replace("zone:", "header_line: 4\nzone:"), "a\nb\n"),
        (VISITS, b"Cow;St\xffrt\n"),
        (VISITS.replace("zone:", "encoding: utf-16-le\nzone:"), b"\x00\xd8" * 2000),
        (VISITS, HEAD + GOOD * 2000),
        (VISITS, HEAD + "\n" * 200),
        (VISITS, HEAD + GOOD * 30),
        (VISITS, ";".join("x" for _ in range(6000)) + "\n"),
        (STAMPED, HEAD + GOOD),
        (WITH_ISO, HEAD + GOOD),
        (LINES, "[1]\n{\n" + '{"cow": "\\ud800", "start": 1}\n' + "[" * 900 + "\n" + "," * 3000 + "\n"),
        (LINES, b'{"cow": "7", "start": "x", "kg": 1}\n{"cow": "\xff"}\n'),
    )
)


def book(*rows: list[object]) -> bytes:
    """The bytes of a workbook."""
    made = openpyxl.Workbook()
    made.active.title = "April"  # type: ignore[union-attr]
    for row in rows:
        made.active.append(row)  # type: ignore[union-attr]
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def books() -> tuple[tuple[str, bytes], ...]:
    """Workbooks that cannot be read."""
    plain = BOOK.format(more="")
    return (
        (plain, b"no workbook"),
        (plain, book()),
        (BOOK.format(more="header_line: 5\n"), book(["a"], ["b"])),
        (BOOK.format(more="sheet: Aprl\n"), book(["Cow", "Start", "Kg"])),
        (BOOK.format(more="sheet: '7'\n"), book(["Cow", "Start", "Kg"])),
        (plain, book(["Cow", "Start", "Kg"], *([7, "2026-03-28 06:30", 1] for _ in range(30)))),
    )


def visit(**more: object) -> dict[str, object]:
    """A milking visit in ICAR ADE, with some of it changed."""
    return {
        "resourceType": "IcarMilkingVisitEventResource",
        "animal": {"id": "7", "scheme": "x"},
        "milkingStartingDateTime": "2026-03-28T06:30:00Z",
        "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5},
        **more,
    }


ICAR: tuple[bytes, ...] = (
    b"{",
    b"[] x",
    b"\xff{",
    b"[" * 20_000 + b"1",
    b'{"a": 1}',
    b'{"member": [], "member": []}',
    json.dumps(
        [
            1,
            {"resourceType": "icarWeightEvent"},
            visit(animal=3),
            visit(animal={"id": " ", "scheme": "x"}),
            visit(animal=None),
            visit(milkingStartingDateTime="2026-03-28T06:30:00"),
            visit(milkingStartingDateTime="1926-03-28T06:30:00Z"),
            visit(milkingStartingDateTime="noon"),
            visit(milkingMilkWeight={"unitCode": "LTR", "value": 9.5}),
            visit(milkingMilkWeight={"value": 1e15}),
            visit(milkingBoxNumber="\ud800"),
            visit(milkingRemarks=["Sang"]),
            visit(milkingRemarks="Sang"),
            visit(milkingRemarks=["MilkingIncomplete"] * 101),
            visit(quarterMilkings=[3]),
            visit(quarterMilkings=[{"xposition": 3}]),
            visit(quarterMilkings=[{"icarQuarterId": "LF", "xposition": n} for n in (1, 2)]),
            visit(
                quarterMilkings=[
                    {
                        "icarQuarterId": "LF",
                        "icarQuarterCharacteristics": [{"characteristic": "AVGCOND", "value": "x", "unit": unit}],
                    }
                    for unit in ("H61", "XX")
                ]
            ),
        ]
    ).encode(),
)

DETAILS = (
    "no address is known for this channel",
    "its address cannot be understood",
    "its address needs a package that is not installed: slixmpp >= 1.10.0",
    "its service cannot be used on this machine",
    "not sent: an earlier message still hangs",
    "not sent: it is over or answered by now",
    "not sent (ValueError)",
    "no answer within 10 s; it may still arrive",
    "no answer in time; it may still arrive",
    "the service did not take it",
    "no connection, or no sensible answer",
    "the service answered 503",
    "taken by the service",
    "",
)
ENDS = (
    "it stood for as long as its rule lets it",
    "the condition ended",
    "it is no longer watched",
    "the rule is no longer in use",
    "",
)


def batches() -> list[Batch]:
    """What the exports give, each under a name of its own."""
    found = []
    for number, (form, content) in enumerate((*DELIMITED, *books()), 1):
        feed, problems = load_feed_map(form, "m.yaml")
        assert feed is not None, problems
        found.append(read_export(feed, Export(f"{number:02}.csv", content, AT), "UTC", FEW))
    for number, content in enumerate(ICAR, 1):
        name = f"icar_{number}.json"
        found.append(read_icar(Export(name, content, AT), "UTC", replace(FEW, rows=100)))
    return found


def main() -> None:
    """Write the store, as schema 6 had it."""
    store = Store(None)
    for number, one in enumerate(batches()):
        ingest(store, one, AT + number)
    alert = Alert(1, "late-cow", "cow:7", AT, AT, "round", "Cow 7", over_at=AT + 1)
    save_alerts(store, (replace(alert, id=number, over_why=why) for number, why in enumerate(ENDS, 1)))  # type: ignore[arg-type]
    for number, detail in enumerate(DETAILS, 1):
        store.conn.execute("insert into notices values (?, ?, 'Marit', 'alert', '', '', 'now', '[1]')", (number, AT))
        store.conn.execute(
            "insert into deliveries (notice, channel, outcome, attempts, at, detail) "
            "values (?, 'p', 'gave_up', 9, ?, ?)",
            (number, AT, detail),
        )
    store.verify()
    said = "-- Exports of which something cannot be read, as sentinel 0.1.0 stored them; schema 6.\n"
    path = Path(__file__).parent / "released" / "reasons_v6.sql"
    path.write_text(said + "\n".join(store.conn.iterdump()) + "\n", encoding="utf-8")
    sys.stdout.write(f"{path.name}: {path.stat().st_size} bytes\n")


if __name__ == "__main__":
    main()
