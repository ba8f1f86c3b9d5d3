"""The first dialect: visits as delimited text, semicolons, decimal commas, local times, Windows code page 1252.

Column names and words are this farm's own. One row per visit holds the four quarters side by side.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isnan

from sentinel.flow.model import QUARTERS
from sentinel.simulator.exports.record import Record
from sentinel.simulator.local_time import LocalTime

ENCODING = "cp1252"
ENDED = {"milked": "done", "incomplete": "cut short", "failed": "no cups", "refused": "sent on"}
QUARTER_COLUMNS = ("mS/cm 25 °C", "kg", "off", "along mm", "across mm", "up mm")
COLUMNS = (
    "Came in",
    "Stand",
    "Cow no",
    "Ended",
    "Stay min:s",
    "Cups on s",
    "Tries",
    "Kilos",
    *(f"{quarter} {column}" for quarter in QUARTERS for column in QUARTER_COLUMNS),
)


def comma(value: float, digits: int) -> str:
    """A number with a decimal comma; empty if it is missing.

    >>> comma(4.816, 2), comma(float("nan"), 2), comma(-71.6, 0)
    ('4,82', '', '-72')
    """
    return "" if isnan(value) else f"{value:.{digits}f}".replace(".", ",")


_QUARTERS = ";".join(["%.2f;%.2f;%s;%.0f;%.0f;%.0f"] * len(QUARTERS))


def csv_row(record: Record, local: LocalTime) -> str:
    """One visit as one line, without its line end."""
    measured: list[float | str] = []
    for quarter in record.quarters:
        off = "" if isnan(quarter.milk_kg) else "yes" if quarter.kicked_off else "no"
        measured += [quarter.conductivity, quarter.milk_kg, off, *quarter.teat_mm]
    return csv_line(
        local.wall(record.start).strftime("%d.%m.%Y %H:%M:%S"),
        record.box,
        record.cow,
        record.outcome,
        record.duration_s,
        record.attach_s,
        record.attempts,
        record.milk_kg,
        tuple(measured),
    )


def csv_line(
    came_in: str,
    box: str,
    cow: str,
    outcome: str,
    duration_s: int,
    attach_s: float,
    attempts: int,
    milk_kg: float,
    measured: tuple[float | str, ...],
) -> str:
    """One visit as one line; `measured` has per quarter what `QUARTER_COLUMNS` names, whether kicked off as text.

    All figures of the quarters are written at once, and then what is missing is taken out: a season has millions.
    """
    minutes, seconds = divmod(duration_s, 60)
    kilos = comma(milk_kg, 1) if outcome != "refused" else ""
    quarters = (_QUARTERS % measured).replace(".", ",").replace("nan", "")
    return (
        f"{came_in};{box};{cow};{ENDED[outcome]};{minutes}:{seconds:02d};"
        f"{comma(attach_s, 0)};{attempts or ''};{kilos};{quarters}"
    )


def csv_file(rows: Iterable[str], columns: Iterable[str] = COLUMNS) -> bytes:
    """A whole file: the header, then the rows, each with CR LF."""
    return ("\r\n".join([";".join(columns), *rows]) + "\r\n").encode(ENCODING)


# --- the same in two exports ------------------------------------------------------------------------------

_OF_VISIT = len(COLUMNS) - len(QUARTERS) * len(QUARTER_COLUMNS)
VISIT_LIST_COLUMNS = COLUMNS[:_OF_VISIT]
QUARTER_LIST_COLUMNS = (*COLUMNS[:3], *COLUMNS[_OF_VISIT:])
_MEASURED = (ENDED["milked"], ENDED["incomplete"])


def visit_list(rows: Iterable[str]) -> bytes:
    """The visits of these lines without their quarters, as a file of their own."""
    return csv_file((row.rsplit(";", len(COLUMNS) - _OF_VISIT)[0] for row in rows), VISIT_LIST_COLUMNS)


def quarter_list(rows: Iterable[str]) -> bytes:
    """The quarters of the visits that gave milk, each by when the cow came in, her box and her number."""
    parted = (row.split(";", _OF_VISIT) for row in rows)
    lines = (";".join([*cells[:3], cells[-1]]) for cells in parted if cells[3] in _MEASURED)
    return csv_file(lines, QUARTER_LIST_COLUMNS)
