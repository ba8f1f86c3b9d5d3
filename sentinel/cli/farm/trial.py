"""How feed maps that were tried on the newest files are shown, by the commands that try them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.cli.base import err, now, out
from sentinel.edges.inbox import UnderWay
from sentinel.edges.settings import inbox_of
from sentinel.flow.bounds import cut
from sentinel.flow.feeds.trial.figures import range_of, shown
from sentinel.flow.feeds.trial.tried import NEWEST, Figures, Tried
from sentinel.flow.model import Problem
from sentinel.flow.setup import Setup
from sentinel.flow.tables.expected import ANY
from sentinel.runtime.reading.trial import Trial, try_newest

FIELDS = ("field", "rows", "missing", "lowest", "median", "highest", "unit", "usual", "possible")
NUMBERS = ("rows", "missing", "lowest", "median", "highest")


def tried_in(folder: Path, setup: Setup, *, strangers: bool = True) -> Trial:
    """The newest files of a farm's inbox, each tried by its map; without `strangers` those of no map are not told."""
    inbox = inbox_of(folder, setup.farm.inbox)
    return try_newest(setup, inbox, now(), UnderWay.as_noted(folder), strangers=strangers)


def say(findings: Sequence[Problem]) -> None:
    """Each finding on a line, with its place."""
    err.lines(*(str(one) for one in findings))


def show(trial: Trial, zone: str) -> None:
    """What each feed's newest files gave, for people."""
    for of in trial.feeds:
        if not of.files:
            out.print(f"{of.map.name}: none of its {of.there} files can be read now; are they still being written?")
            continue
        older = len(of.files[NEWEST:])
        newest = f"the newest {len(of.files[:NEWEST])}" + (f" and {older} older ones" if older else "")
        out.print(f"{of.map.name}{_where(of)}: {newest} of {of.there} files")
        for file in of.files[:NEWEST]:
            out.print(f"  {file.file}: {'; '.join(_file_words(file))}")
        for why in of.whys:
            kept = "read in part" if why.kept else "left out"
            out.print(f"  {why.number} {kept}, first {why.at.name}:{why.at.line}: {cut(str(why.reason), 300)}")
        for one in of.fields:
            if one.words:
                said = ", ".join(f"{word} {number}" for word, number in one.words.items())
                out.print(f"  {one.table}.{one.column.name}: {said}")
        rows = [_field_row(one, zone) for one in of.fields if one.number or one.missing]
        if rows:
            out.table(FIELDS, rows, NUMBERS)
        out.print("")


def as_records(trial: Trial) -> Iterator[dict[str, Any]]:
    """The same for programs: files, fields and findings."""
    for of in trial.feeds:
        for file in of.files:
            why = str(file.refused) if file.refused else None
            lost = {"left_out": file.aside, "in_part": file.in_part, "refused": why}
            yield {"kind": "file", "feed": of.map.name, "file": file.file, "rows": dict(file.rows), **lost}
        for one in of.fields:
            yield {
                "kind": "field",
                "feed": of.map.name,
                "field": f"{one.table}.{one.column.name}",
                "unit": one.column.unit,
                "rows": one.rows,
                "missing": one.missing,
                "lowest": one.lowest,
                "median": one.median,
                "highest": one.highest,
                "words": dict(one.words),
            }
    yield from problem_records("finding", trial.findings)


def problem_records(kind: str, problems: Iterable[Problem]) -> Iterator[dict[str, Any]]:
    """Problems or findings for programs."""
    for one in sorted(problems):
        at = {"file": one.source.name, "line": one.source.line or None, "column": one.source.column or None}
        yield {"kind": kind, **at, "message": one.message}


def _where(of: Tried) -> str:
    return f" ({of.map.document.name})" if of.map.feed is not None else " (ICAR ADE, needs no map)"


def _file_words(file: Any) -> Iterator[str]:
    """What a file gave, in a few words each."""
    if file.refused is not None:
        yield f"nothing can be read: {cut(str(file.refused), 300)}"
        return
    yield ", ".join(f"{number} {table}" for table, number in file.rows.items()) or "no rows"
    if file.aside:
        yield f"{file.aside} left out"
    if file.in_part:
        yield f"{file.in_part} read in part"


def _field_row(one: Figures, zone: str) -> list[str]:
    """One line of the table of fields."""
    expected = one.column.expected
    missing = f"{100 * one.missing / one.rows:.0f} %" if one.missing else ""
    usual, possible = (expected.usual, expected.possible) if expected else (ANY, ANY)
    return [
        f"{one.table}.{one.column.name}",
        str(one.rows),
        missing,
        *_figures(one, zone),
        one.column.unit,
        range_of(usual, ""),
        range_of(possible, ""),
    ]


def _figures(one: Figures, zone: str) -> list[str]:
    """Lowest, median and highest of a field; of moments on the farm's clock."""
    if one.lowest is None or one.highest is None:
        return ["", "", ""]
    if one.column.kind in ("time", "date"):
        form = "%Y-%m-%d %H:%M" if one.column.kind == "time" else "%Y-%m-%d"
        ends = (datetime.fromtimestamp(at, UTC).astimezone(ZoneInfo(zone)) for at in (one.lowest, one.highest))
        low, high = (f"{end:{form}}" for end in ends)
        return [low, "", high]
    return [shown(one.lowest), shown(one.median) if one.median is not None else "", shown(one.highest)]
