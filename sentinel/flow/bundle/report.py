"""The report of a bundle, to be printed: what happened in a span, in the farm's words, with its name and seal."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sentinel.flow.bundle.tables import BY_THE_LOG, Cell, Record, Sheet, chores, filters, incidents, rule_changes, tank
from sentinel.flow.language import Words, told
from sentinel.flow.reasons import in_words
from sentinel.flow.rules import format_quantity
from sentinel.flow.subjects import chore_words


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the report: its heading, a sentence on how it is to be read, and a table.

    `right`: the columns that hold figures; `strong`: the rows that lie past a limit.
    """

    heading: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    strong: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Report:
    """The whole report. `lines` stand below the title, `seal` at the end; `language` is that of its words."""

    title: str
    farm: str
    lines: tuple[str, ...]
    parts: tuple[Part, ...]
    seal: tuple[str, ...]
    language: str


def report(record: Record, farm: str, made_at: int, last: int, head: str, words: Words, language: str = "en") -> Report:
    """The report of a record. `last` and `head`: the number and hash of the log's last entry when it was made."""
    begin, end = (words.calendar(words.local(at).date()) for at in (record.span.begin, record.span.end - 1))
    lines = (
        told(words, "From {begin} to {end}.", begin=begin, end=end),
        told(words, "Made on {when}.", when=_when(made_at, words)),
        told(words, "Times are on the farm's clock ({zone}).", zone=words.zone),
    )
    seal = (
        told(words, "The log had {n} entries when this was made; its last hash was", n=last),
        head,
        words.say(
            "It proves later that nothing before it was changed. The files beside this report hold every figure."
        ),
    )
    parts = (
        _incidents(record, words),
        _chores(record, words),
        _filters(record, words),
        _tank(record, words),
        _set_aside(record, words),
        _rules(record, words),
    )
    return Report(words.say("Record of alerts, chores and milk"), farm, lines, parts, seal, language)


def _when(at: int, words: Words) -> str:
    local = words.local(at)
    return f"{words.calendar(local.date())} {local:%H:%M}"


def _cell_time(value: Cell, words: Words) -> str:
    """A sheet's moment on the farm's clock."""
    return "" if value is None else _when(int(datetime.fromisoformat(str(value)).timestamp()), words)


def _columns(sheet: Sheet) -> Mapping[str, int]:
    return {name: place for place, name in enumerate(sheet.columns)}


def _incidents(record: Record, words: Words) -> Part:
    """The alerts with their incidents and answers."""
    sheet = incidents(record)
    at = _columns(sheet)
    rows = []
    for row in sheet.rows:
        number = str(row[at["alert"]])
        with_it = "" if row[at["incident"]] == row[at["alert"]] else f" ({row[at['incident']]})"
        who = str(row[at["answered_by"]] or "")
        answered = f"{who}, {_cell_time(row[at['answered_at']], words)}" if who else words.say("nobody")
        found = "; ".join(
            words.say(str(one)) for one in (row[at["finding"]], row[at["note"]]) if one
        )  # a note is in nobody's catalogue and is said as it is
        rows.append((
            number + with_it, _cell_time(row[at["raised_at"]], words), str(row[at["text"]]),
            _cell_time(row[at["over_at"]], words) or words.say("still open"), answered, found,
        ))  # fmt: skip
    titles = ("Alert", "Raised", "What", "Over", "Answered", "Found")
    about = words.say("In brackets: the first alert with the same cause. An alert is a suggestion to look.")
    return Part(words.say("Alerts and answers"), about, _titles(titles, words), tuple(rows))


def _titles(titles: Iterable[str], words: Words) -> tuple[str, ...]:
    """Column titles in the farm's words; each stands in `TITLES`."""
    return tuple(words.say(TITLES[title]) for title in titles)


TITLES = {
    title: title
    for title in (
        "Alert", "Raised", "What", "Over", "Answered", "Found", "Chore", "Times", "Shortest gap", "Usual gap",
        "Longest gap", "Last done", "Box", "Changed", "By", "Since the one before", "Milkings", "Tank", "When", "°C",
        "Cells, thousand per ml", "Rolling mean", "Limit", "Bacteria, thousand per ml", "File", "Lines", "First reason",
        "Change", "Why", "Entry",
    )
}  # fmt: skip
"""What the columns are called."""


def _hours(value: float | None, words: Words) -> str:
    return "" if value is None else format_quantity(value, "h", words)


def _chores(record: Record, words: Words) -> Part:
    """How often each chore was done and how far apart."""
    sheet = chores(record)
    by_chore: dict[str, list[tuple[Cell, ...]]] = {}
    for row in sheet.rows:
        by_chore.setdefault(str(row[0]), []).append(row)
    rows = []
    for name, done in sorted(by_chore.items()):
        gaps = [float(row[4]) for row in done if row[4] is not None]
        figures = (min(gaps), statistics.median(gaps), max(gaps)) if gaps else (None, None, None)
        shown = [_hours(one, words) for one in figures]
        rows.append((_chore(name, words), str(len(done)), *shown, _cell_time(done[-1][1], words)))
    titles = ("Chore", "Times", "Shortest gap", "Usual gap", "Longest gap", "Last done")
    about = words.say("By the boxes' logs and by what people recorded; the usual gap is the median.")
    return Part(words.say("Chores"), about, _titles(titles, words), tuple(rows), frozenset({1, 2, 3, 4}))


def _chore(name: str, words: Words) -> str:
    """A chore and its place."""
    chore, _, place = name.partition("/")
    said = chore_words(chore, words)
    return f"{said}, {place}" if place else said


def _filters(record: Record, words: Words) -> Part:
    """Each change of a milk filter."""
    rows = []
    for box, done_at, by, _, hours, milkings in filters(record).rows:
        who = words.say("by the box's log") if by == BY_THE_LOG else str(by)
        gap = _hours(None if hours is None else float(hours), words)
        rows.append((str(box), _cell_time(done_at, words), who, gap, "" if milkings is None else str(milkings)))
    titles = ("Box", "Changed", "By", "Since the one before", "Milkings")
    about = words.say("Milkings are those at the box since the change before.")
    return Part(words.say("Filter changes"), about, _titles(titles, words), tuple(rows), frozenset({3, 4}))


def _tank(record: Record, words: Words) -> Part:
    """The tank's laboratory results with their rolling means and limits; plain readings are in the files."""
    sheet = tank(record)
    at = _columns(sheet)
    cells = next((name for name in sheet.columns if name.endswith("mean_k_ml") and "cells" in name), "")
    bacteria = next((name for name in sheet.columns if name.endswith("mean_k_ml") and "bacteria" in name), "")
    rows: list[tuple[str, ...]] = []
    strong: set[int] = set()
    for row in sheet.rows:
        if row[at["cells_k_ml"]] is None and row[at["bacteria_k_ml"]] is None:
            continue
        figures: list[str] = []
        for result, mean in (("cells_k_ml", cells), ("bacteria_k_ml", bacteria)):
            value = row[at[mean]] if mean else None
            limit = row[at[mean.replace("_k_ml", "_limit_k_ml")]] if mean else None
            figures += [_figure(one, words) for one in (row[at[result]], value, limit)]
            if value is not None and limit is not None and float(value) > float(limit):
                strong.add(len(rows))
        rows.append((str(row[at["tank"]]), _cell_time(row[at["at"]], words), *figures))
    titles = (
        "Tank", "When", "Cells, thousand per ml", "Rolling mean", "Limit", "Bacteria, thousand per ml", "Rolling mean",
        "Limit",
    )  # fmt: skip
    about = words.say(
        "Rolling geometric means, of three months for cells and of two for bacteria, and the limits of the farm's "
        "rules (Regulation (EC) 853/2004 where they were not changed). What is over its limit is in bold."
    )
    right = frozenset(range(2, 8))
    return Part(words.say("Tank results"), about, _titles(titles, words), tuple(rows), right, frozenset(strong))


def _figure(value: Cell, words: Words) -> str:
    return "" if value is None else words.number(float(value), 1)


def _set_aside(record: Record, words: Words) -> Part:
    """The files of which something could not be read: how many lines, and the first reason."""
    by_file: dict[tuple[str, str], list[Mapping[str, object]]] = {}
    for one in record.aside:
        if record.span.has(int(str(one["at"]))):
            by_file.setdefault((str(one["feed"]), str(one["file"])), []).append(one)
    rows = []
    for (_, file), lines in by_file.items():
        reason = next((one["reason"] for one in lines if one["reason"] is not None), None)
        said = in_words(reason, words)  # type: ignore[arg-type]
        rows.append((file, _when(int(str(lines[0]["at"])), words), str(len(lines)), said))
    about = words.say("What of the exports could not be read, and has not been read whole since.")
    titles = ("File", "When", "Lines", "First reason")
    return Part(words.say("Set aside"), about, _titles(titles, words), tuple(rows), frozenset({2}))


def _rules(record: Record, words: Words) -> Part:
    """Changes of the settings, by whom and why."""
    rows = [
        (str(row[0]), _cell_time(row[1], words), str(row[2]), str(row[3] or ""), str(row[4] or ""))
        for row in rule_changes(record).rows
    ]
    about = words.say("Who and why are known of changes made on the page or said with the change.")
    return Part(
        words.say("Changes of rules and settings"), about, _titles(("Entry", "When", "Change", "By", "Why"), words),
        tuple(rows), frozenset({0}),
    )  # fmt: skip
