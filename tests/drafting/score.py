"""How right a draft is: each of its fields against what the sample's columns truly are.

A field is right if it takes the right columns and its cells, read as the draft says, give the true values: the unit
and the decimal mark within 1.5 % (litres taken for kilograms are 3 % off), moments to the minute, no word misread.
It is doubted if its lines, or those on how its times are written, say QUESTION or FILL IN.
"""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from ruamel.yaml import YAML

from sentinel.flow.feeds.drafting.questions import Question
from sentinel.flow.feeds.drafting.sample.sniff import put_together, sniff
from sentinel.flow.feeds.times import join_date_and_time, read_time
from sentinel.flow.feeds.units import conversion, span_named
from sentinel.flow.feeds.values import FLAG_WORDS, as_text, number_parser
from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import table_named

from .pen import DUBLIN
from .sampled import Sampled, Truth

DENSITY = 1.03
ENOUGH = 60


@dataclass(frozen=True, slots=True)
class Scored:
    """One draft held against the truth: whether its table is right, and how each field is, and whether doubted."""

    table_right: bool
    table_doubted: bool
    fields: Mapping[tuple[str, str], tuple[str, bool]] = field(default_factory=dict)


def scored(draft: str, sampled: Sampled, questions: Sequence[Question] = ()) -> Scored:
    """Each field of the draft and of the truth: `right`, `wrong`, `made up` or `missing`, and whether it is doubted.

    A field that is not written, but of which a question offers the right column, is `offered`.
    """
    offers = {one.key: {answer for answer, _ in one.choices} for one in questions}
    document = YAML(typ="safe").load(io.StringIO(draft)) or {}
    tables: dict[str, dict[str, Any]] = document.get("tables") or {}
    wanted = {name for name, _ in sampled.fields}
    doubts = _doubts(draft)
    cells = _cells(sampled)
    results: dict[tuple[str, str], tuple[str, bool]] = {}
    for name, fields in tables.items():
        for column, spec in (fields or {}).items():
            if column in ("each", "only") or (
                isinstance(spec, dict) and {"stamp", "value", "end", "file_name"} & set(spec)
            ):
                continue
            key = (name, column)
            doubted = doubts.get(key, False) or doubts.get((name, ""), False)
            truth = sampled.fields.get(key)
            if truth is None:
                results[key] = ("made up", doubted)
                continue
            kind = truth.kind
            doubted |= doubts.get(("", "times" if kind == "time" else "dates"), False) and kind in ("time", "date")
            doubted |= bool((fields or {}).get("each")) and doubts.get((name, "each"), False)
            results[key] = ("right" if _right(document, fields, column, spec, truth, cells) else "wrong", doubted)
    for key, truth in sampled.fields.items():
        if key not in results:
            offered = truth.title in offers.get(f"column:{'.'.join(key)}", ())
            results[key] = ("offered", True) if offered else ("missing", False)
    table_right = bool(tables) and next(iter(tables)) == sampled.table and set(tables) == wanted
    doubted = not tables or any(doubts.get((name, ""), False) for name in tables)
    return Scored(table_right, doubted, results)


def _doubts(draft: str) -> dict[tuple[str, str], bool]:
    """What the draft says QUESTION or FILL IN of: (table, field), (table, "") or ("", key of the head)."""
    doubts: dict[tuple[str, str], bool] = {}
    table, name = "", ""
    for line in draft.splitlines():
        asked = "QUESTION" in line or "FILL IN" in line
        if match := re.match(r"(\w+):", line):
            table, name = "", match[1]
        elif match := re.match(r"  (\w+):", line):
            table, name = match[1], ""
        elif match := re.match(r"    (\w+):", line):
            name = match[1]
        elif not line.startswith("      "):
            continue
        if line.lstrip().startswith("#") and "        #" not in line:
            continue
        doubts[(table, name)] = doubts.get((table, name), False) or asked
    return doubts


def _cells(sampled: Sampled) -> dict[str, tuple[Any, ...]]:
    sample = put_together([sniff(one) for one in (sampled.export, *sampled.more)])
    return dict(zip(sample.titles, sample.columns, strict=True))


def _right(
    document: Mapping[str, Any],
    fields: Mapping[str, Any],
    column: str,
    spec: Any,
    truth: Truth,
    cells: Mapping[str, tuple[Any, ...]],
) -> bool:
    spec = spec if isinstance(spec, dict) else {"column": str(spec)}
    each = fields.get("each")
    if len(truth.columns) == 4:
        called = each if isinstance(each, dict) else dict(zip(QUARTERS, QUARTERS, strict=True))
        given = spec.get("columns")
        taken = (
            tuple(given.get(q) for q in QUARTERS)
            if isinstance(given, dict)
            else tuple(str(spec.get("column", "")).replace("{quarter}", str(called.get(q))) for q in QUARTERS)
        )
    else:
        taken = tuple(map(str, spec.get("columns") or (spec.get("column"),)))
    if taken != truth.columns:
        return False
    if truth.kind == "time" and len(taken) == 2:
        pairs = zip(cells[taken[0]], cells[taken[1]], strict=True)
        return _times_right(document, "times", spec, [join_date_and_time(pair) for pair in pairs], truth.values[0])
    return all(
        _column_right(document, column, spec, truth, cells[title], values)
        for title, values in zip(taken, truth.values, strict=True)
    )


def _column_right(
    document: Mapping[str, Any],
    column: str,
    spec: Mapping[str, Any],
    truth: Truth,
    cells: Sequence[Any],
    values: Sequence[Any],
) -> bool:
    if truth.kind in ("time", "date"):
        return _times_right(document, "times" if truth.kind == "time" else "dates", spec, list(cells), values)
    if truth.kind in ("word", "flag"):
        return _words_right(spec, cells, values, truth.kind)
    return truth.kind == "text" or _numbers_right(document, column, spec, cells, values)


def _times_right(
    document: Mapping[str, Any], key: str, spec: Mapping[str, Any], cells: Sequence[Any], values: Sequence[Any]
) -> bool:
    read = read_time(spec.get("format") or document.get(key, "iso"), frozenset(map(str, document.get("missing", ()))))
    for cell, value in list(zip(cells, values, strict=False))[:ENOUGH]:
        if value is None or (isinstance(value, float) and math.isnan(value)):
            continue
        try:
            found = read(cell)
        except ValueError:
            return False
        wall = datetime.fromtimestamp(int(value), UTC).astimezone(DUBLIN)
        if isinstance(found, int):
            if abs(found - value) >= 60:
                return False
        elif found is None:
            return False
        elif found.tzinfo is not None:
            if abs((found - wall).total_seconds()) >= 60:
                return False
        elif abs((found - wall.replace(tzinfo=None)).total_seconds()) >= 60:
            return False
    return True


def _numbers_right(
    document: Mapping[str, Any], column: str, spec: Mapping[str, Any], cells: Sequence[Any], values: Sequence[Any]
) -> bool:
    parse = number_parser(document.get("decimal", "."), document.get("thousands", "none").replace("none", ""))
    own = next(
        c.unit for t in ("visits", "quarters", "cows", "tank", "cow_tests") for c in table_named(t).columns
        if c.name == column
    )  # fmt: skip
    unit = spec.get("unit") or own
    missing = {"", *map(str, document.get("missing", ()))}
    ratios = []
    for cell, value in list(zip(cells, values, strict=False))[:ENOUGH]:
        if as_text(cell) in missing or value is None or math.isnan(value):
            continue
        try:
            if span_named(unit):
                parts = [int(p) for p in str(cell).split(":")]
                found = float(sum(p * 60**n for n, p in enumerate(reversed(parts))))
                if len(parts) == 2 and span_named(unit) == "h:min":
                    found *= 60
            else:
                found = parse(as_text(cell)) if isinstance(cell, str) else float(cell)
                found = conversion(unit, own, DENSITY)(found) if own else found
        except ValueError:
            return False
        if abs(value) > 1:
            ratios.append(found / value)
        elif abs(found - value) > 0.6:
            return False
    if not ratios:
        return True
    return abs(sorted(ratios)[len(ratios) // 2] - 1) < 0.015


def _words_right(spec: Mapping[str, Any], cells: Sequence[Any], values: Sequence[Any], kind: str) -> bool:
    """No word of the cells is given another meaning than it has; one that is left for a person is no mistake."""
    words = {str(k): v for k, v in (spec.get("words") or {}).items()}
    for cell, value in zip(cells, values, strict=False):
        text = as_text(cell)
        if value is None or (isinstance(value, float) and math.isnan(value)) or not text:
            continue
        meant: Any = words.get(text)
        if meant is None:
            meant = FLAG_WORDS.get(text.casefold()) if kind == "flag" else (text if not words else None)
            if meant is None:
                continue
        if kind == "flag":
            meant = meant if isinstance(meant, bool) else FLAG_WORDS.get(str(meant).casefold())
            if meant != bool(value):
                return False
        elif words and meant != value:
            return False
    return True


@dataclass(slots=True)
class Totals:
    """The figures of many drafts."""

    samples: int = 0
    tables: int = 0
    tables_wrong_undoubted: int = 0
    counts: Counter[tuple[str, bool]] = field(default_factory=Counter)

    def add(self, one: Scored) -> None:
        """Count one draft."""
        self.samples += 1
        self.tables += one.table_right
        self.tables_wrong_undoubted += not (one.table_right or one.table_doubted)
        self.counts.update(one.fields.values())

    def line(self, name: str) -> str:
        """The figures as one line of the report."""
        count = self.counts
        right = count["right", False] + count["right", True]
        wrong = sum(count[how, asked] for how in ("wrong", "made up") for asked in (False, True))
        quiet = count["wrong", False] + count["made up", False]
        true = sum(n for (how, _), n in count.items() if how != "made up")
        written = right + wrong
        asked = count["right", True] + count["wrong", True] + count["made up", True]
        return (
            f"{name:22} samples {self.samples:4}  table {_share(self.tables, self.samples)}  "
            f"fields right {_share(right, true)}  of those asked {_share(count['right', True], max(right, 1))}  "
            f"offered {count['offered', True]}  "
            f"wrong and undoubted {_share(quiet, max(written, 1))}  wrong {wrong} of {written} written, "
            f"{asked} asked; table wrong and undoubted {self.tables_wrong_undoubted}"
        )


def _share(part: int, whole: int) -> str:
    return f"{100 * part / max(whole, 1):5.1f} % ({part}/{whole})"
