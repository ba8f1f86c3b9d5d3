"""The first dialect: visits as delimited text, semicolons, decimal commas, local times, Windows code page 1252.

Column names and words are this farm's own. One row per visit holds the four quarters side by side.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isnan

from sentinel.flow.model import QUARTERS
from sentinel.simulate.record import Record
from sentinel.simulate.times import LocalTime

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


def csv_row(record: Record, local: LocalTime) -> str:
    """One visit as one line, without its line end."""
    minutes, seconds = divmod(record.duration_s, 60)
    cells = [
        local.wall(record.start).strftime("%d.%m.%Y %H:%M:%S"),
        record.box,
        record.cow,
        ENDED[record.outcome],
        f"{minutes}:{seconds:02d}",
        comma(record.attach_s, 0),
        str(record.attempts) if record.attempts else "",
        comma(record.milk_kg, 1) if record.outcome != "refused" else "",
    ]
    for quarter in record.quarters:
        measured = not isnan(quarter.milk_kg)
        cells += [
            comma(quarter.conductivity, 2),
            comma(quarter.milk_kg, 2),
            ("yes" if quarter.kicked_off else "no") if measured else "",
            *(comma(mm, 0) for mm in quarter.teat_mm),
        ]
    return ";".join(cells)


def csv_file(rows: Iterable[str]) -> bytes:
    """A whole file: the header, then the rows, each with CR LF."""
    return ("\r\n".join([";".join(COLUMNS), *rows]) + "\r\n").encode(ENCODING)
