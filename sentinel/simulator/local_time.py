"""Local wall clock to UTC seconds and back, for one farm's zone; and the text forms the exports use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from sentinel.flow.model import DAY_S, HOUR_S


def rfc3339(at: int) -> str:
    """UTC seconds as RFC 3339 text.

    >>> rfc3339(1778050800)
    '2026-05-06T07:00:00Z'
    """
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@dataclass(frozen=True, slots=True)
class LocalTime:
    """The farm's wall clock."""

    zone: str

    def at(self, text: str) -> int:
        """UTC seconds of a local time written `YYYY-MM-DD HH:MM`.

        >>> rfc3339(LocalTime("Europe/Dublin").at("2026-05-06 07:00"))
        '2026-05-06T06:00:00Z'
        """
        return int(datetime.strptime(text, "%Y-%m-%d %H:%M").replace(tzinfo=ZoneInfo(self.zone)).timestamp())

    def wall(self, at: int) -> datetime:
        """The local wall time of a moment, without its zone (as a spreadsheet cell holds it)."""
        return datetime.fromtimestamp(at, ZoneInfo(self.zone)).replace(tzinfo=None)

    def utc(self, at: int) -> datetime:
        """The UTC wall time of a moment, without its zone."""
        return datetime.fromtimestamp(at, UTC).replace(tzinfo=None)

    def hour(self, at: float) -> float:
        """The local hour of the day, 0 up to 24."""
        wall = datetime.fromtimestamp(at, ZoneInfo(self.zone))
        return wall.hour + wall.minute / 60 + wall.second / HOUR_S

    def days(self, first: int, until: int) -> list[str]:
        """The local days, `YYYY-MM-DD`, that begin at `first` or later and before `until`.

        >>> local = LocalTime("Europe/Dublin")
        >>> local.days(local.at("2026-05-04 00:00"), local.at("2026-05-06 00:00"))
        ['2026-05-04', '2026-05-05']
        """
        days, day = [], self.wall(first).date()
        while self.at(f"{day} 00:00") < until:
            if self.at(f"{day} 00:00") >= first:
                days.append(str(day))
            day += timedelta(seconds=DAY_S)
        return days
