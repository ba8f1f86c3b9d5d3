"""Times in an export to UTC seconds: formats, zones, and the hour that a clock change repeats or skips."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.flow.mapping.values import Convert, Faults, as_text, shown, titled

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001  (local seconds are counted without a zone)
_HALF_HOUR_S = 1800
_QUARTER_HOUR_S = 900
_NEAR_S = 2 * 3600
_YEARS = (1980, 2100)
_LONGEST_TIME = 100
"""No time is written in more characters, and patterns should not be tried on a cell of a hundred thousand."""

Read = Callable[[Any], "datetime | int | None"]
"""Reads one cell: a datetime (with or without a zone), UTC seconds, or None for missing; raises ValueError."""


class LocalTimes:
    """Turns the local times of one column, in the order of the file, into UTC seconds.

    It remembers the rows before, which tell the two passes of a repeated hour apart. `repeated`:

    - `order`: rows are taken to follow one another in time, so a step back of more than half an hour inside the
      repeated hour begins its second pass (in a file that runs backwards, a step forward begins the first). Rows
      of several boxes may be mixed as long as they are less than half an hour out of order. What the order cannot
      tell is taken as the first pass: a cow's hours since milking are then an hour too many, never too few.
    - `first`, `second`: always that pass.
    - `set_aside`: rows in that hour are set aside.

    `skipped`: `shift` reads a time that the clock left out as if it had not been moved (01:30 becomes 02:30);
    `set_aside` sets the row aside.
    """

    def __init__(self, zone: str, repeated: str, skipped: str) -> None:
        self.zone = ZoneInfo(zone)
        self.repeated = repeated
        self.skipped = skipped
        self.saw_repeated = False
        self._offsets: dict[int, tuple[int, int]] = {}
        self._before: int | None = None
        self._latest = 0
        self._backwards = False
        self._second = False

    def utc(self, local: int) -> int:
        """UTC seconds of a local time given as seconds since 1970-01-01 00:00 local; raises ValueError."""
        quarter = local // _QUARTER_HOUR_S  # every clock change falls on a quarter of an hour
        pair = self._offsets.get(quarter)
        if pair is None:
            pair = self._offsets[quarter] = self._offsets_at(local)
        first, second = pair
        if first == second:
            self._before = local
            return local - first
        if first > second:
            self.saw_repeated = True
            return self._in_repeated(local, first, second)
        self._before = local
        if self.skipped == "set_aside":
            raise ValueError(f"{_written(local)} does not exist: the clock skipped that hour in {self.zone.key}")
        return local - first

    def _in_repeated(self, local: int, first: int, second: int) -> int:
        """UTC seconds of a local time that came twice."""
        if self.repeated == "set_aside":
            raise ValueError(f"{_written(local)} came twice: the clock repeated that hour in {self.zone.key}")
        if self.repeated != "order":
            return local - (first if self.repeated == "first" else second)
        before, self._before = self._before, local
        if before is None or not self._is_repeated(before):
            # A file that runs backwards arrives here from just after the change.
            self._backwards = before is not None and local < before <= local + (first - second) + _NEAR_S
            self._second, self._latest = self._backwards, local
        elif self._backwards:
            if local > self._latest + _HALF_HOUR_S:
                self._second = False
            self._latest = min(self._latest, local) if self._second else local
        else:
            if not self._second and local < self._latest - _HALF_HOUR_S:
                self._second, self._latest = True, local
            self._latest = max(self._latest, local)
        return local - (second if self._second else first)

    def _is_repeated(self, local: int) -> bool:
        pair = self._offsets.get(local // _QUARTER_HOUR_S)
        return pair is not None and pair[0] > pair[1]

    def _offsets_at(self, local: int) -> tuple[int, int]:
        """Seconds ahead of UTC in the first and in the second pass of a local time."""
        moment = (_EPOCH + timedelta(seconds=local)).replace(tzinfo=self.zone)
        first, second = moment.utcoffset(), moment.replace(fold=1).utcoffset()
        assert first is not None and second is not None
        return int(first.total_seconds()), int(second.total_seconds())


def _written(local: int) -> str:
    return f'"{_EPOCH + timedelta(seconds=local)}"'


def local_seconds(moment: datetime) -> int:
    """Seconds since 1970-01-01 00:00 on the same local clock."""
    passed = moment - _EPOCH
    return passed.days * 86400 + passed.seconds


def time_column(title: str, read: Read, local: LocalTimes, *, midnight: bool = False) -> Convert:
    """Moments in UTC seconds; with `midnight`, the local midnight that began the day."""

    def convert(cells: Sequence[Any], faults: Faults) -> list[Any]:
        values: list[int | None] = []
        for index, cell in enumerate(cells):
            try:
                moment = read(cell)
                values.append(_seconds(moment, local, midnight) if isinstance(moment, datetime) else moment)
            except (ValueError, OverflowError) as error:
                faults.setdefault(index, titled(title, error))
                values.append(None)
        return values

    return convert


def _seconds(moment: datetime, local: LocalTimes, midnight: bool) -> int:
    if not _YEARS[0] <= moment.year <= _YEARS[1]:
        raise ValueError(f"{shown(moment)} is not a moment on this farm")
    if midnight:
        if moment.tzinfo is not None:
            moment = moment.astimezone(local.zone).replace(tzinfo=None)
        return local.utc(local_seconds(moment.replace(hour=0, minute=0, second=0, microsecond=0)))
    if moment.tzinfo is not None:
        return int(moment.timestamp() // 1)
    return local.utc(local_seconds(moment))


_PARTS = {"d": "day", "m": "month", "Y": "year", "y": "short", "H": "hour", "M": "minute", "S": "second"}


def plain_format(form: str) -> Callable[[str], datetime] | None:
    """A reader for a strptime format of numbers only, four times as fast as strptime; None for other formats.

    >>> plain_format("%d.%m.%y %H:%M")("28.03.26 06:30")
    datetime.datetime(2026, 3, 28, 6, 30)
    """
    names: list[str] = []
    pattern = ""
    for literal, letter in re.findall(r"([^%]*)(?:%(.))?", form):
        pattern += re.escape(literal)
        if letter and (letter not in _PARTS or _PARTS[letter] in names):
            return None
        if letter:
            names.append(_PARTS[letter])
            pattern += "([0-9]{4})" if letter == "Y" else "([0-9]{2})" if letter == "y" else "([0-9]{1,2})"
    if ("year" in names) == ("short" in names) or not {"month", "day"} <= set(names) or "%%" in form:
        return None
    match_all = re.compile(pattern).fullmatch
    order = [names.index(n) if n in names else -1 for n in ("year", "month", "day", "hour", "minute", "second")]
    short = names.index("short") if "short" in names else -1

    def read(text: str) -> datetime:
        match = match_all(text)
        if match is None:
            raise ValueError(text)
        found = [int(part) for part in match.groups()]
        found.append(0)  # the parts that the format leaves out
        values = [found[i] for i in order]
        if short >= 0:  # POSIX: 69 to 99 are the last century
            values[0] = found[short] + (1900 if found[short] >= 69 else 2000)
        return datetime(*values)  # type: ignore[arg-type]  # noqa: DTZ001

    return read


EXAMPLE = datetime(2026, 3, 28, 6, 30)  # noqa: DTZ001  (a wall time, to show how a format reads)


def read_time(form: str, missing: frozenset[str]) -> Read:
    """A reader of one cell: `iso`, `epoch_s`, `epoch_ms`, or a strptime format such as `%d.%m.%Y %H:%M`.

    A spreadsheet's own dates need no format.
    """

    parse = datetime.fromisoformat if form == "iso" else plain_format(form)

    def read(cell: Any) -> datetime | int | None:
        if parse is not None and isinstance(cell, str) and len(cell) <= _LONGEST_TIME:
            try:
                return parse(cell)
            except ValueError:
                pass  # the longer way says what is wrong
        if isinstance(cell, datetime):
            return cell + timedelta(microseconds=500_000)  # spreadsheets keep 07:59:59.9999 for 08:00:00
        if isinstance(cell, date):
            return datetime.combine(cell, time())
        text = as_text(cell)
        if text in missing:
            return None
        if len(text) > _LONGEST_TIME:
            raise ValueError(f"{shown(cell)} is not a time")
        if form in ("epoch_s", "epoch_ms"):
            return _epoch(text, 1000 if form == "epoch_ms" else 1)
        try:
            if parse is not None:
                return parse(text)
            return datetime.strptime(text, form)  # noqa: DTZ007  (the zone is the map's)
        except ValueError:
            wanted = "an ISO time (2026-03-28 06:30)" if form == "iso" else f"a time like {EXAMPLE.strftime(form)}"
            raise ValueError(f"{shown(cell)} is not {wanted}") from None

    return read


def _epoch(text: str, per_second: int) -> datetime:
    try:
        return datetime.fromtimestamp(float(text) // per_second, tz=UTC)
    except (ValueError, OverflowError, OSError):
        raise ValueError(f"{shown(text)} is not a number of seconds since 1970") from None


def join_date_and_time(parts: Sequence[Any]) -> Any:
    """One cell from a date cell and a time cell: text joined by a space, or a spreadsheet's date plus its time.

    >>> join_date_and_time(["28.03.2026", "06:30"])
    '28.03.2026 06:30'
    """
    if any(part is None or part == "" for part in parts):
        return None
    day, *rest = parts
    if isinstance(day, str):
        return " ".join(as_text(part) for part in parts)
    if isinstance(day, datetime):
        day = day.date()
    if not isinstance(day, date):
        return " ".join(as_text(part) for part in parts)
    clock = rest[0] if rest else time()
    if isinstance(clock, timedelta):
        try:
            return datetime.combine(day, time()) + clock
        except OverflowError:
            return " ".join(as_text(part) for part in parts)
    if isinstance(clock, datetime):
        clock = clock.time()
    if isinstance(clock, str):
        try:
            clock = time.fromisoformat(clock.strip())
        except ValueError:
            return " ".join(as_text(part) for part in parts)
    return datetime.combine(day, clock)
