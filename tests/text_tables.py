"""Small text tables for tests: examples that a reader can check by hand, in and out.

Cells are separated by two or more spaces, `-` is a missing value. A time is written `06:00`, `06:00:01` or, a day
later, `1d06:00`; day 0 is 2024-06-03 (UTC).
"""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from sentinel.flow.language import Later
from sentinel.flow.reasons import Reason, as_said
from sentinel.flow.tables import frame_types, table_named

DAY_0 = 1_717_372_800
_MOMENT = re.compile(r"(?:(-?\d+)d)?(\d\d):(\d\d)(?::(\d\d))?")


def moment(text: str) -> int:
    """UTC seconds of a time in a text table.

    >>> moment("1d00:01") - DAY_0
    86460
    """
    found = _MOMENT.fullmatch(text)
    if not found:
        raise ValueError(f"{text} is not a time like 06:00 or 1d06:00")
    day, hour, minute, second = (int(part or 0) for part in found.groups())
    return DAY_0 + 86400 * day + 3600 * hour + 60 * minute + second


def moment_text(at: int) -> str:
    """A moment as text tables write it.

    >>> moment_text(moment("06:00")), moment_text(moment("2d23:59:59"))
    ('06:00', '2d23:59:59')
    """
    day, second = divmod(int(at) - DAY_0, 86400)
    clock = f"{second // 3600:02}:{second // 60 % 60:02}" + (f":{second % 60:02}" if second % 60 else "")
    return f"{day}d{clock}" if day else clock


def lines(text: str) -> list[list[str]]:
    """The cells of a text table."""
    return [re.split(r"\s{2,}", line.strip()) for line in text.strip().splitlines() if line.strip()]


def table(name: str, text: str) -> pd.DataFrame:
    """A frame of the tidy table `name`, sorted as measures expect; columns not written are missing."""
    head, *rows = lines(text)
    kinds = frame_types(table_named(name))
    reasons = {column.name for column in table_named(name).columns if column.kind == "reason"}
    unknown = set(head) - set(kinds)
    if unknown:
        raise ValueError(f"{name} has no column {sorted(unknown)}")
    data = {}
    for column, kind in kinds.items():
        missing = None if kind == "object" else np.nan
        cells = [row[head.index(column)] for row in rows] if column in head else ["-"] * len(rows)
        data[column] = pd.Series(
            [missing if c == "-" else as_said(c) if column in reasons else _value(c, kind) for c in cells], dtype=kind
        )
    order = [table_named(name).happened, *table_named(name).key]
    return pd.DataFrame(data).sort_values(list(dict.fromkeys(order)), kind="stable", ignore_index=True)


def _value(cell: str, kind: str) -> str | int | float | Reason:
    if kind == "reason":
        return as_said(cell)
    if kind == "object":
        return cell
    return moment(cell) if kind == "int64" else float(cell)


def shown(frame: pd.DataFrame, columns: str = "subject at value") -> list[list[str]]:
    """A frame as the cells of a text table with these columns; numbers to three decimals."""
    names = columns.split()
    return [names, *([_cell(row[name], name) for name in names] for row in frame.to_dict("records"))]


def asked(frame: pd.DataFrame) -> pd.DataFrame:
    """Readings with everything put together that a measure leaves until it is asked for."""
    later = [name for name in frame if any(isinstance(one, Later) for one in frame[name])]
    put = {name: [one.now() if isinstance(one, Later) else one for one in frame[name]] for name in later}
    return frame.assign(**{name: pd.Series(cells, frame.index, dtype=object) for name, cells in put.items()})


def _cell(value: object, name: str) -> str:
    if name == "at":
        return moment_text(int(str(value)))
    if pd.isna(value) or value == "":  # type: ignore[call-overload]
        return "-"
    return f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
