"""The ground truth: what was planted and what merely happened, as plain values for `truth.json`."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.model import HOUR_S
from sentinel.simulator.exports.record import Record
from sentinel.simulator.local_time import rfc3339
from sentinel.simulator.week.herd import Herd

LATE_OVER_H = 14.0
"""When the truth calls a cow late (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that is true of the week: what, of whom, from when until when, and what a good operator would do.

    `rules` are the shipped rules that should speak of it; empty if all should stay quiet.
    """

    kind: str
    subject: str
    start: int
    until: int | None
    rules: tuple[str, ...]
    expect: str
    figures: Mapping[str, Any] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """The item as JSON values, with times in RFC 3339 UTC."""
        return {
            "kind": self.kind,
            "subject": self.subject,
            "from": rfc3339(self.start),
            "until": None if self.until is None else rfc3339(self.until),
            "rules": list(self.rules),
            "expect": self.expect,
            "figures": dict(self.figures),
        }


def late_spells(
    records: Sequence[Record], herd: Herd, dried: Mapping[str, int], begin: int, until: int
) -> list[tuple[str, int, int | None]]:
    """Cow, when she became late, and when she was fully milked again (None: not by `until`), for the week.

    Cows allowed once a day and dry cows are never late here; an incomplete or failed visit does not end it.
    """
    limit = int(LATE_OVER_H * HOUR_S)
    milked: dict[str, list[int]] = {}
    for record in records:
        if record.outcome == "milked":
            milked.setdefault(record.cow, []).append(record.start)
    spells: list[tuple[str, int, int | None]] = []
    for cow, starts in milked.items():
        if herd.allowed[herd.place(cow)] <= 1:
            continue
        following: list[int | None] = [*starts[1:], None]
        for last, back in zip(starts, following, strict=True):
            late = last + limit
            ended = back is None and cow in dried
            if not ended and begin <= late < (until if back is None else min(back, until)):
                spells.append((cow, late, back))
    return sorted(spells, key=lambda spell: spell[1])


def late_items(
    spells: Sequence[tuple[str, int, int | None]], planted: Collection[str], failing: Collection[str]
) -> list[Item]:
    """One item per late spell; `planted` cows stayed out on purpose, `failing` ones came and were not attached."""
    items = []
    for cow, start, back in spells:
        how = "planted" if cow in planted else "not attached" if cow in failing else "by itself"
        expect = "Bring her in at the next round; see whether she walks and eats as usual."
        figures: dict[str, Any] = {"how": how}
        if back is not None:
            figures["hours_between_milkings"] = round((back - start) / HOUR_S + LATE_OVER_H, 2)
        items.append(Item("cow-late", f"cow:{cow}", start, back, ("late-cow",), expect, figures))
    return items


def truth_text(truth: Mapping[str, Any]) -> bytes:
    """The truth as JSON, one item or parameter a line."""
    parts = []
    for key, value in truth.items():
        if isinstance(value, list):
            lines = ",\n".join("    " + json.dumps(one, ensure_ascii=False) for one in value)
            parts.append(f"  {json.dumps(key)}: [\n{lines}\n  ]")
        else:
            parts.append(f"  {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}")
    return ("{\n" + ",\n".join(parts) + "\n}\n").encode()
