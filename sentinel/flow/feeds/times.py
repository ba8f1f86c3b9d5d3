"""Times in an export to UTC seconds: formats, zones, and the hour that a clock change repeats or skips."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.flow.feeds.night import Heard
from sentinel.flow.feeds.values import Between, Convert, Faults, as_text, shown, titled
from sentinel.flow.reasons import Reason, Unreadable, reason_of

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001  (local seconds are counted without a zone)
_QUARTER_HOUR_S = 900
_NEAR_S = 6 * 3600
"""So long after a clock was put back, lines that are appended to a file may still tell of that hour."""

_YEARS = (1980, 2100)
_LONGEST_TIME = 100
"""No time is written in more characters, and patterns should not be tried on a cell of a hundred thousand."""

Read = Callable[[Any], "datetime | int | None"]
"""Reads one cell: a datetime (with or without a zone), UTC seconds, or None for missing; raises ValueError."""


class CameTwice(Unreadable):
    """A local time that came twice, and it is not known which one is meant."""

    def __init__(self, reason: Reason, begin: int, end: int) -> None:
        super().__init__(reason)
        self.begin, self.end = begin, end


class LocalTimes:
    """Turns the local times of one column, in the order of the file, into UTC seconds.

    `repeated`:

    - `order`: the file's rows together tell which pass of the repeated hour it is (see `night`), or the row waits. A
      file is read to its end first, with `listen`, and then once more with what was found (`pass_marks`, one for each
      time that came twice). Read without it everything is of the first pass; `near` says whether it matters.
    - `first`, `second`: always that pass.
    - `set_aside`: rows in that hour are set aside.

    `skipped`: `shift` reads a time that the clock left out as if it had not been moved (01:30 becomes 02:30);
    `set_aside` sets the row aside.
    """

    def __init__(self, zone: str, repeated: str, skipped: str) -> None:
        self.zone = ZoneInfo(zone)
        self.repeated = repeated
        self.skipped = skipped
        self.near = False
        self.listen = False
        self.heard: list[Heard] = []
        self.pass_marks: Iterator[bool | None] | None = None
        self._offsets: dict[int, tuple[int, int, bool]] = {}

    def utc(self, local: int) -> int:
        """UTC seconds of a local time given as seconds since 1970-01-01 00:00 local; raises Unreadable."""
        quarter = local // _QUARTER_HOUR_S  # every clock change falls on a quarter of an hour
        offsets = self._offsets.get(quarter)
        if offsets is None:
            offsets = self._offsets[quarter] = (*self._offsets_at(local), self._is_near(local))
        first, second, near = offsets
        self.near |= near
        if self.listen:
            self.heard.append(Heard(local - first, local - (second if first > second else first)))
        if first == second:
            return local - first
        if first > second:
            return self._in_repeated(local, local - first, local - second)
        if self.skipped == "set_aside":
            raise Unreadable(Reason("time-skipped", when=_written(local), zone=self.zone.key))
        return local - first

    def _in_repeated(self, local: int, first: int, second: int) -> int:
        """UTC seconds of a local time that came twice."""
        if self.repeated == "set_aside":
            raise CameTwice(Reason("time-repeated", when=_written(local), zone=self.zone.key), first, second)
        if self.repeated != "order" or self.pass_marks is None:
            return second if self.repeated == "second" else first
        is_second = next(self.pass_marks)
        if is_second is None:
            raise CameTwice(Reason("time-of-either-pass", when=_written(local)), first, second)
        return second if is_second else first

    def comes_twice(self, local: int) -> bool:
        """Whether a local time is one of an hour that a clock change repeats."""
        first, second = self._offsets_at(local)
        return first > second

    def _is_near(self, local: int) -> bool:
        """Whether the clock was put back at this local time or in the hours before it."""
        now = self._offsets_at(local)
        before = self._offsets_at(local - _NEAR_S)
        return now[0] > now[1] or (now[0] < before[0] and now == (now[0], now[0]))

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
                values.append(
                    moment_seconds(moment, local, midnight=midnight) if isinstance(moment, datetime) else moment
                )
            except CameTwice as error:
                faults.setdefault(index, Between(titled(title, error.reason), error.begin, error.end))
                values.append(None)
            except (ValueError, OverflowError) as error:
                faults.setdefault(index, titled(title, reason_of(error)))
                values.append(None)
        return values

    return convert


def moment_seconds(moment: datetime, local: LocalTimes, *, midnight: bool = False) -> int:
    """UTC seconds of a moment, or with `midnight` of the beginning of its day; raises Unreadable, OverflowError."""
    if not _YEARS[0] <= moment.year <= _YEARS[1]:
        raise Unreadable(Reason("not-on-this-farm", what=shown(moment)))
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
        numbers = [int(part) for part in match.groups()]
        numbers.append(0)  # the parts that the format leaves out
        values = [numbers[i] for i in order]
        if short >= 0:  # POSIX: 69 to 99 are the last century
            values[0] = numbers[short] + (1900 if numbers[short] >= 69 else 2000)
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
            raise Unreadable(Reason("not-a-time", what=shown(cell)))
        if form in ("epoch_s", "epoch_ms"):
            return _epoch(text, 1000 if form == "epoch_ms" else 1)
        try:
            if parse is not None:
                return parse(text)
            return datetime.strptime(text, form)  # noqa: DTZ007  (the zone is the map's)
        except ValueError:
            if form == "iso":
                raise Unreadable(Reason("not-an-iso-time", what=shown(cell))) from None
            raise Unreadable(Reason("not-a-time-like", what=shown(cell), form=EXAMPLE.strftime(form))) from None

    return read


def _epoch(text: str, per_second: int) -> datetime:
    try:
        return datetime.fromtimestamp(float(text) // per_second, tz=UTC)
    except (ValueError, OverflowError, OSError):
        raise Unreadable(Reason("not-seconds", what=shown(text))) from None


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
