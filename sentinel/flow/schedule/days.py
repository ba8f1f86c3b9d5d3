"""Days on the farm's calendar."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from sentinel.flow.settings.people import moment


def date_of(at: int, zone: str) -> date:
    """The farm's date at a moment."""
    return datetime.fromtimestamp(at, UTC).astimezone(ZoneInfo(zone)).date()


def days_of(at: np.ndarray, zone: str) -> np.ndarray:
    """The farm's date at each of many moments, as days since 1970.

    >>> days_of(np.array([0, 82_800]), "Europe/Berlin").tolist()
    [0, 1]
    """
    local = pd.DatetimeIndex(pd.to_datetime(at, unit="s", utc=True)).tz_convert(zone).tz_localize(None)
    days: np.ndarray = local.to_numpy().astype("datetime64[D]").astype(np.int64)
    return days


def day_of(at: int, zone: str) -> int:
    """The moment at which the farm's day of a moment began.

    >>> day_of(1_772_000_000, "Europe/Berlin") - 1_772_000_000
    -26000
    """
    return moment(date_of(at, zone), 0, zone)


def days_between(start: int, end: int, zone: str) -> list[int]:
    """The moments in (start, end] at which the farm's days begin.

    >>> len(days_between(1_772_000_000 - 14 * 86400, 1_772_000_000, "Europe/Berlin"))
    14
    """
    first, last = date_of(start, zone), date_of(end, zone)
    midnights = (moment(first + timedelta(days=n), 0, zone) for n in range((last - first).days + 1))
    return [day for day in midnights if start < day <= end]
