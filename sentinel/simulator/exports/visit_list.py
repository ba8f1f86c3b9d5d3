"""The first dialect: visits as delimited text, semicolons, decimal commas, local times, Windows code page 1252.

Column names and words are this farm's own. One row per visit holds the four quarters side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isnan

import numpy as np
import pandas as pd

from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import QUARTER_VALUES, wide
from sentinel.simulator.local_time import LocalTime

ENCODING = "cp1252"
QUARTER_HOUR_S = 15 * 60
UNFINISHED = "unfinished"
ENDED = {"milked": "done", "incomplete": "cut short", "failed": "no cups", "refused": "sent on", UNFINISHED: ""}
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

    All figures of the quarters are written at once, and then what is missing is taken out: a year has millions.
    """
    minutes, seconds = divmod(duration_s, 60)
    kilos = comma(milk_kg, 1) if outcome != "refused" else ""
    quarters = (_QUARTERS % measured).replace(".", ",").replace("nan", "")
    return (
        f"{came_in};{box};{cow};{ENDED[outcome]};{minutes}:{seconds:02d};"
        f"{comma(attach_s, 0)};{attempts or ''};{kilos};{quarters}"
    )


def csv_rows(visits: pd.DataFrame, local: LocalTime) -> list[str]:
    """The rows of `visits` as lines of a visit list, worked out column by column."""
    measured = []
    for quarter in QUARTERS:
        conductivity, kg, off, *teat = (visits[f"{quarter.lower()}_{name}"].to_numpy(float) for name in QUARTER_VALUES)
        cup_off = np.where(np.isnan(kg), "", np.where(off == 1.0, "yes", "no"))
        measured += [column.tolist() for column in (conductivity, kg, cup_off, *teat)]
    columns = (
        _came_in(visits["start"].to_numpy(np.int64), local),
        *(visits[name].tolist() for name in ("box", "cow", "outcome")),
        visits["duration_s"].astype(int).tolist(),
        visits["attach_s"].tolist(),
        visits["attempts"].fillna(0).astype(int).tolist(),
        visits["milk_kg"].fillna(0.0).tolist(),
        zip(*measured, strict=True),
    )
    return list(map(csv_line, *columns))


def unfinished(visits: pd.DataFrame, at: int, local: LocalTime) -> dict[int, str]:
    """The lines of those visits that have not ended `at` a moment, by their place: how long she has been in, how long
    the cups took if they are on, the milk that has come, and neither an end nor quarters."""
    start, stay = visits["start"].to_numpy(np.int64), visits["duration_s"].to_numpy(float)
    places = np.flatnonzero(start + stay > at)
    if not len(places):
        return {}
    since = at - start[places]
    so_far = visits.iloc[places].copy()
    attached = so_far["attach_s"].to_numpy(float)
    cups_on = ~(attached >= since)  # where nobody says how long they took, nobody says here
    milking_s = np.maximum(stay[places] - np.nan_to_num(attached), 1.0)
    share = np.clip((since - np.nan_to_num(attached)) / milking_s, 0.0, 1.0)
    so_far["duration_s"], so_far["outcome"] = since.astype(float), UNFINISHED
    so_far["attach_s"] = np.where(cups_on, attached, np.nan)
    so_far["attempts"] = np.where(cups_on, so_far["attempts"].to_numpy(float), np.nan)
    so_far["milk_kg"] = np.nan_to_num(so_far["milk_kg"].to_numpy(float)) * share
    for name in QUARTER_VALUES:
        so_far[wide(name)] = np.nan
    return dict(zip(places.tolist(), csv_rows(so_far, local), strict=True))


def _came_in(moments: np.ndarray, local: LocalTime) -> list[str]:
    """Moments on the farm's clock; worked out once a quarter of an hour, as no zone of our day is apart by less."""
    quarter, seconds = np.divmod(moments, QUARTER_HOUR_S)
    walls = {at: local.wall(at * QUARTER_HOUR_S) for at in np.unique(quarter).tolist()}
    begins = {at: (f"{wall:%d.%m.%Y %H:}", wall.minute) for at, wall in walls.items()}
    times = []
    for at, past in zip(quarter.tolist(), seconds.tolist(), strict=True):
        hour, minute = begins[at]
        times.append(f"{hour}{minute + past // 60:02d}:{past % 60:02d}")
    return times


def csv_file(rows: Iterable[str], columns: Iterable[str] = COLUMNS) -> bytes:
    """A whole file: the header, then the rows, each with CR LF."""
    return ("\r\n".join([";".join(columns), *rows]) + "\r\n").encode(ENCODING)


def spoil(rows: Sequence[str]) -> list[str]:
    """The rows with the last three measured ones made unreadable: a day that is none, a letter in a number, torn.

    >>> spoil(["01.05.2026 06:00:00;1;7;done;5:00;70;1;9,1;4,80;" + ";".join("abcdefghijklmnopq")] * 3)[0][:19]
    '32.05.2026 06:00:00'
    """
    spoilt = list(rows)
    measured = [i for i, row in enumerate(rows) if ";done;" in row][-3:]
    if len(measured) < 3:
        return spoilt
    day, number, torn = measured
    spoilt[day] = "32" + spoilt[day][2:]
    cells = spoilt[number].split(";")
    spoilt[number] = ";".join([*cells[:8], cells[8] + "x", *cells[9:]])
    spoilt[torn] = ";".join(spoilt[torn].split(";")[:11])
    return spoilt


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
