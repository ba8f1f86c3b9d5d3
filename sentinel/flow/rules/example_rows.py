"""The small tables in a rule's examples: their form, and the reading of one into rows.

An example says of one subject (or several) that the rule `raises`, stays `quiet` or answers `unknown`, and gives
the rows it says so from:

    - raises: cow:217
      visits: |
        cow  start                              box  outcome
        217  3 times every 9 h, last 14.5 h ago  1    milked
        101  5 min ago                          2    milked

Two or more spaces separate columns, the first line names them, `-` is a missing value, and times are written as
so long `ago` (or `now`); `N times every D, last X ago` stands for N rows. A subject whose name is a day has a time for
it: `recording:3 d ago`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sentinel.flow.model import kind_of, name_of
from sentinel.flow.reasons import as_said
from sentinel.flow.rules.faults import Fault
from sentinel.flow.rules.quantities import LARGEST, parse_quantity
from sentinel.flow.rules.rule import URGENCIES
from sentinel.flow.rules.where import ATTRIBUTES
from sentinel.flow.subjects import PACES, kind_named
from sentinel.flow.tables import EXPORTED, OWN, TIMES, Column, Table
from sentinel.flow.yaml.text import did_you_mean

EXPECTED = ("raises", "quiet", "unknown")
"""What an example may say of its subjects."""

FARM_TABLES = (
    Table(
        "farm_chores",
        "The chores the farm does.",
        key=("chore",),
        happened="",
        columns=(
            Column("chore", "text", "which chore"),
            Column("place", "text", "where it is done"),
            Column("event", "text", "the box_log event that records it"),
            Column("planned", "flag", "whether the grazing plan says by when"),
        ),
    ),
    Table(
        "feeds",
        "The feeds the farm has.",
        key=("feed",),
        happened="known_until",
        columns=(
            Column("feed", "text", "which feed"),
            Column("tables", "text", "the tables it fills, with commas between"),
            Column("pace", "word", "how often it should come", words=PACES),
            Column("every_h", "number", "the same in hours", "h"),
            Column("known_until", "time", "its newest row"),
            Column("watched_since", "time", "from when it has been watched"),
        ),
    ),
    Table(
        "decided",
        "Up to when each rule could last be decided.",
        key=("rule",),
        happened="until",
        columns=(Column("rule", "text", "which rule"), Column("until", "time", "up to when")),
    ),
)
"""Small tables that say what the farm is like, beside the tidy tables."""

TABLES: Mapping[str, Table] = {table.name: table for table in (*EXPORTED, *OWN, *FARM_TABLES)}
"""Every table an example may give."""

MAY_MISS: Mapping[str, tuple[str, ...]] = {
    "cows": ("from",),
    "chores": ("place",),
    "unread": ("feed", "file", "line"),
}
"""Key columns that a small table may leave out: a herd list holds from long ago, a chore may have no place, and of what
could not be read it matters when it happened, not where it stood."""

MOST_ROWS = 2_000
"""So many rows may a small table have, the repeated ones counted."""

_SEPARATOR = re.compile(r"\s{2,}")
_REPEAT = re.compile(r"(\d+) times every (.+), last (.+)")


@dataclass(frozen=True, slots=True)
class SmallTable:
    """Rows of one small table, each a column-to-value mapping; times are whole seconds before the moment decided at."""

    table: Table
    rows: tuple[Mapping[str, Any], ...] = ()


def read_small_table(table: Table, text: str) -> tuple[SmallTable, list[Fault]]:
    """The rows of a small table, and what is wrong with it, each fault with its line in the text (from 1).

    >>> table, faults = read_small_table(TABLES["box_log"], "box  at       event\\n2    3 h ago  washed")
    >>> table.rows, faults
    (({'box': '2', 'at': 10800, 'event': 'washed'},), [])
    """
    lines = [(n, line.strip()) for n, line in enumerate(text.split("\n"), start=1) if line.strip()]
    if not lines:
        return SmallTable(table), [Fault((), "needs a first line that names its columns")]
    number, head = lines[0]
    names = _SEPARATOR.split(head)
    faults = [
        Fault((), f'"{name}" is not a column of {table.name}{did_you_mean(name, table.names)}', number)
        for name in names
        if name not in table.names
    ]
    missing = [k for k in table.key if k not in names and k not in MAY_MISS.get(table.name, ())]
    if missing and not faults:
        faults.append(Fault((), f"the column {missing[0]} is missing", number))
    if faults:
        return SmallTable(table), faults
    columns = [table.column(name) for name in names]
    rows: list[Mapping[str, Any]] = []
    for number, line in lines[1:]:
        cells = _SEPARATOR.split(line)
        if len(cells) != len(columns):
            sentence = f"{len(cells)} values for {len(columns)} columns; put two spaces between values, - for none"
            faults.append(Fault((), sentence, number))
            continue
        try:
            rows += _repeated({c.name: _cell(c, cell) for c, cell in zip(columns, cells, strict=True)})
        except ValueError as error:
            faults.append(Fault((), str(error), number))
        if len(rows) > MOST_ROWS:
            return SmallTable(table), [*faults, Fault((), f"a small table has at most {MOST_ROWS:,} rows", number)]
    return SmallTable(table, tuple(rows)), faults


def parse_ago(text: str) -> int:
    """How many whole seconds before the moment decided at: `now`, `3 h ago`; ValueError with a sentence.

    >>> parse_ago("14.5 h ago"), parse_ago("now")
    (52200, 0)
    """
    written = text.strip()
    if written == "now":
        return 0
    if not written.endswith(" ago"):
        raise ValueError(f'{written}: a time is written like "3 h ago" or "now"')
    return round(parse_quantity(written.removesuffix(" ago"), "s"))


def expectation(example: Mapping[str, Any]) -> tuple[str, tuple[str, ...]]:
    """What an example expects (`raises`, `quiet`, `unknown`) and of which subjects."""
    expected = next(word for word in EXPECTED if word in example)
    subjects = example[expected]
    return expected, tuple(subjects) if isinstance(subjects, list) else (subjects,)


def example_faults(example: Any, per: str) -> list[Fault]:
    """Everything that is wrong with the form of one example of a rule per `per`."""
    if not isinstance(example, Mapping):
        return [Fault((), 'an example says "raises:", "quiet:" or "unknown:" and gives small tables')]
    known = (*EXPECTED, "urgency", "boxes", "watched_since", *TABLES)
    faults = [Fault((key,), f"unknown key{did_you_mean(str(key), known)}") for key in example if key not in known]
    answers = [word for word in EXPECTED if word in example]
    if len(answers) != 1:
        return [*faults, Fault((), "an example has exactly one of raises, quiet and unknown")]
    cells: set[str] = set()
    for name in TABLES.keys() & example.keys():
        if not isinstance(example[name], str):
            faults.append(Fault((name,), 'this should be a small table; begin it with "|"'))
            continue
        table, wrong = read_small_table(TABLES[name], example[name])
        faults += [fault.under(name) for fault in wrong]
        cells |= {str(value) for row in table.rows for value in row.values()}
    faults += _farm_faults(example)
    boxes = example.get("boxes")
    cells |= {str(box) for box in boxes} if isinstance(boxes, list) else set()
    return faults + _subject_faults(example, answers[0], per, cells if not faults else None)


def _farm_faults(example: Mapping[str, Any]) -> list[Fault]:
    """What is wrong with the keys of an example that are no tables."""
    faults = []
    if "boxes" in example and not isinstance(example["boxes"], list):
        faults.append(Fault(("boxes",), "should be a list of boxes, for example [1, 2]"))
    if "urgency" in example and ("raises" not in example or example["urgency"] not in URGENCIES):
        faults.append(Fault(("urgency",), "belongs to an example that raises, and is now, round or log"))
    if "watched_since" in example and (wrong := _time_fault(str(example["watched_since"]))):
        faults.append(Fault(("watched_since",), wrong))
    return faults


def _subject_faults(example: Mapping[str, Any], answer: str, per: str, cells: set[str] | None) -> list[Fault]:
    """That the subjects are of the rule's kind and stand in the example's rows (`cells`; None: not to be told)."""
    faults: list[Fault] = []
    _, subjects = expectation(example)
    for subject in subjects:
        if not isinstance(subject, str) or kind_of(subject) not in ATTRIBUTES:
            faults.append(
                Fault((answer,), f'"{subject}" should be a subject such as {per if per == "herd" else per + ":2"}')
            )
        elif kind_of(subject) != per:
            faults.append(Fault((answer,), f"{subject} is a {kind_of(subject)}, but the rule is per {per}"))
        elif kind_named(per).dated and (wrong := _time_fault(name_of(subject))):
            faults.append(Fault((answer,), wrong))
        elif cells is not None and not set(_names(subject)) <= cells:
            faults.append(Fault((answer,), f"{subject} stands in none of the example's rows"))
    return faults


def _time_fault(text: str) -> str:
    """What is wrong with how a time is written; empty if nothing is."""
    try:
        parse_ago(text)
    except ValueError as error:
        return str(error)
    return ""


def _names(subject: str) -> tuple[str, ...]:
    """The parts of a subject's name that must stand in an example's rows."""
    name = name_of(subject)
    if kind_of(subject) in ("quarter", "unread"):
        return (name.partition("/")[0],)
    if kind_named(kind_of(subject)).dated:
        return (str(parse_ago(name)),)
    return tuple(part for part in name.split("/", 1) if part)


def _cell(column: Column, text: str) -> Any:
    """One cell in its column's kind; a time as seconds ago, a repeated time as a tuple of them."""
    if text == "-":
        return None
    if column.kind in TIMES:
        repeat = _REPEAT.fullmatch(text)
        if not repeat:
            return parse_ago(text)
        if len(repeat[1]) > 9 or int(repeat[1]) > MOST_ROWS:
            raise ValueError(f"{text}: a small table has at most {MOST_ROWS:,} rows")
        step, last = round(parse_quantity(repeat[2], "s")), parse_ago(repeat[3])
        return tuple(last + step * n for n in reversed(range(int(repeat[1]))))
    if column.kind in ("number", "count"):
        try:
            number = float(text)
        except ValueError:
            number = math.nan
        if not abs(number) <= LARGEST:
            raise ValueError(f'{column.name}: "{text}" should be a number')
        return number
    if column.kind == "flag":
        if text not in ("yes", "no"):
            raise ValueError(f'{column.name}: "{text}" should be yes or no')
        return text == "yes"
    if column.kind == "reason":
        return as_said(text)
    if column.kind == "word" and text not in column.words:
        raise ValueError(f'{column.name}: "{text}" is not a word used here{did_you_mean(text, column.words)}')
    return text


def _repeated(row: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """One row, or one row for each moment of its repeated time."""
    times = next((name for name, value in row.items() if isinstance(value, tuple)), None)
    if times is None:
        return [row]
    return [{**row, times: ago} for ago in row[times]]
