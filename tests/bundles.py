"""A small bundle for tests: a day of an invented farm, with a log in which a name was replaced."""

from __future__ import annotations

from dataclasses import replace

from sentinel.flow.alerts.chain import START, Logged, Replaced, chained, link, list_digest
from sentinel.flow.bundle.form import LOG, REPLACED, log_text, replaced_text, whole
from sentinel.flow.model import Entry

AT = 1_777_881_600


def small_log() -> tuple[list[Logged], list[Replaced]]:
    """Six entries; in the third a name was replaced by the fifth."""
    entries = [
        Entry(AT, "start"),
        Entry(AT + 60, "raised", 1, "late-cow", "cow:217", body={"value": 14.5, "text": "Cow 217 – 14,5 h"}),
        Entry(AT + 90, "answer", 1, "late-cow", "cow:217", "Marit", {"finding": "seen to", "note": "Marit was there"}),
        Entry(AT + 120, "over", 1, "late-cow", "cow:217", body={"why": "the condition ended"}),
    ]
    log = chained(entries, START, 0)
    changed = replace(entries[2], person="Helper 1", body={"finding": "seen to", "note": "Helper 1 was there"})
    rows = [(3, link(log[2].previous, 3, changed))]
    said = Entry(
        AT + 300, "name-replaced", person="Anna", body={"as": "Helper 1", "entries": 1, "list": list_digest(rows)}
    )
    log += chained([said, Entry(AT + 400, "stop")], log[-1].hash, 4)
    log[2] = replace(log[2], entry=changed)
    return log, [(5, *row) for row in rows]


def small_bundle() -> dict[str, bytes]:
    """The same as a bundle, with a sheet and a page."""
    log, replaced = small_log()
    return whole({
        LOG: log_text(log).encode(),
        REPLACED: replaced_text(replaced).encode(),
        "tank.csv": b"tank,at,cells_k_ml\r\n1,2026-05-04T06:00:00Z,212\r\n",
        "tank.jsonl": b'{"tank": "1", "cells_k_ml": 212}\n',
        "report.html": "<p>Größe\n</p>\n".encode(),
    })  # fmt: skip
