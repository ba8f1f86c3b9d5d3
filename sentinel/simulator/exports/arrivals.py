"""The files of exports: their names, the moments that these are stamped with, and when each appears."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import NamedTuple

from sentinel.flow.model import HOUR_S
from sentinel.simulator.local_time import LocalTime

DELAY_S = 12 * 60
"""A file stamped with the full hour appears after the longest stay, so it holds all visits begun before it."""
AT_ONCE_S = 60
"""So long after its stamp a file appears that waits for nobody, so it holds visits that have not ended."""
BOX_STEP_S = 4 * 60
"""Where each box has a visit list of its own, one appears after the other."""
ICAR_STEP_S = 30 * 60
"""The ICAR box writes twice an hour: its files promise nothing, so its feed is known only up to its newest visit."""
LOG_SPAN_S = 6 * HOUR_S


class File(NamedTuple):
    """One export: its name in the inbox, its bytes, and when it appears (UTC seconds)."""

    name: str
    content: bytes
    arrives_at: int


def stamps(first: int, until: int, step_s: int = HOUR_S) -> list[int]:
    """The export stamps after `first` up to and with `until`.

    >>> stamps(0, 7200)
    [3600, 7200]
    """
    return list(range(first + step_s, until + 1, step_s))


def csv_name(stamp: int, local: LocalTime) -> str:
    """`milkings_20260504_0700.csv`, in local time."""
    return f"milkings_{local.wall(stamp):%Y%m%d_%H%M}.csv"


def split_name(what: str, stamp: int, local: LocalTime) -> str:
    """`visits_20260504_0700.csv` and `quarters_20260504_0700.csv`, in local time."""
    return f"{what}_{local.wall(stamp):%Y%m%d_%H%M}.csv"


def icar_name(stamp: int) -> str:
    """`visits_20260504T0600Z.json`, in UTC."""
    return f"visits_{datetime.fromtimestamp(stamp, UTC):%Y%m%dT%H%MZ}.json"


def box_log_name(stamp: int, local: LocalTime) -> str:
    """`boxlog_2026-05-04_0600.xlsx`, in local time."""
    return f"boxlog_{local.wall(stamp):%Y-%m-%d_%H%M}.xlsx"
