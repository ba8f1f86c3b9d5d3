"""Lengths of time of which an export gives only when they began and ended.

The end is a moment, or a time of day: of the day on which it began, or of the next where it is before the beginning and
the stay is not longer than one can be. What ends before it begins is not read; no pass of a repeated hour is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any

from sentinel.flow.feeds.times import CameTwice, LocalTimes, Read, join_date_and_time, local_seconds, moment_seconds
from sentinel.flow.feeds.values import Convert, Faults, as_text, shown, titled
from sentinel.flow.model import DAY_S
from sentinel.flow.reasons import Reason, Unreadable, reason_of

_CLOCK = re.compile(r"([0-9]{1,2}):([0-5][0-9])(?::([0-5][0-9])(?:[.,][0-9]{1,9})?)?(?: ?([AaPp])\.?[Mm]\.?)?")
_LONGEST_CLOCK = 30

ReadEnd = Callable[[Any], "datetime | timedelta | int | None"]
"""Reads a cell that ends a length of time: a moment, or a time of day as the time since midnight."""


@dataclass(frozen=True, slots=True)
class Pair:
    """The cells of one length of time: at which it began, and at which it ended."""

    begin: Any
    end: Any


def pairing(begin: int) -> Callable[[Sequence[Any]], Pair]:
    """What makes a pair of the cells of a row, of which the first so many are the beginning's: a moment's or a day's
    and a time's."""

    def pair(cells: Sequence[Any]) -> Pair:
        return Pair(_joined(cells[:begin]), _joined(cells[begin:]))

    return pair


def _joined(cells: Sequence[Any]) -> Any:
    return cells[0] if len(cells) == 1 else join_date_and_time(cells)


def names_no_day(form: str) -> bool:
    """Whether a format is one of times of day alone.

    >>> names_no_day("%H.%M"), names_no_day("%d.%m.%Y %H:%M"), names_no_day("iso")
    (True, False, False)
    """
    return re.search("%[HIT]", form) is not None and re.search("%[dmjyYbBUWVuGcDxFs]", form) is None


def read_end(form: str, missing: frozenset[str], read: Read) -> ReadEnd:
    """A reader of ends written as `form` says; `read` reads moments that are written so.

    >>> read_end("iso", frozenset({""}), read=datetime.fromisoformat)("7:05 pm")
    datetime.timedelta(seconds=68700)
    """

    def one(cell: Any) -> datetime | timedelta | int | None:
        if isinstance(cell, timedelta):
            return cell
        if isinstance(cell, time):
            return _since_midnight(cell)
        text = as_text(cell)
        if text in missing:
            return None
        match = _CLOCK.fullmatch(text) if len(text) <= _LONGEST_CLOCK else None
        if match is not None and not names_no_day(form):
            return _of_clock(match, cell)
        if not names_no_day(form) or isinstance(cell, datetime):
            return read(cell)
        try:
            return _since_midnight(datetime.strptime(text, form).time())  # noqa: DTZ007  (a time of day)
        except ValueError:
            raise Unreadable(Reason("not-a-time-of-day", what=shown(cell))) from None

    return one


def _since_midnight(clock: time) -> timedelta:
    rounded = 500_000 + clock.microsecond  # spreadsheets keep 07:59:59.9999 for 08:00:00
    return timedelta(hours=clock.hour, minutes=clock.minute, seconds=clock.second + rounded // 1_000_000)


def _of_clock(match: re.Match[str], cell: Any) -> timedelta:
    hour = int(match[1])
    if hour > 23 or (match[4] and not 1 <= hour <= 12):
        raise Unreadable(Reason("not-a-time-of-day", what=shown(cell)))
    if match[4]:
        hour = hour % 12 + (12 if match[4] in "Pp" else 0)
    return timedelta(hours=hour, minutes=int(match[2]), seconds=int(match[3] or 0))


@dataclass(frozen=True, slots=True)
class Clocks:
    """How the local times of beginnings and of ends become moments, each in the order of the file."""

    begins: LocalTimes
    ends: LocalTimes


Moments = tuple[int, ...]
"""The moments that a time may be, UTC seconds: two of one in the hour that a clock change repeats."""


def stay_column(title: str, read_begin: Read, read_end: ReadEnd, clocks: Clocks, longest_s: float) -> Convert:
    """The lengths in s of pairs of cells; none is longer than `longest_s`."""

    def one(pair: Pair) -> float | None:
        begin, end = read_begin(pair.begin), read_end(pair.end)
        if begin is None or end is None:
            return None
        of_day = isinstance(end, timedelta)
        if isinstance(end, timedelta):
            end = _at_clock(_on_the_wall(begin, clocks), end, clocks, pair)
        # Both are always looked up: which pass of a repeated hour they are is handed out in the order of the file.
        began, ended = _moments(begin, clocks.begins), _moments(end, clocks.ends)
        lengths = {b - a for a in began for b in ended}
        able = {length for length in lengths if 0 <= length <= longest_s}
        if len(able) == 1:
            return float(able.pop())
        if able:
            raise Unreadable(Reason("length-of-either-pass", begin=shown(pair.begin), end=shown(pair.end)))
        length = min(lengths, key=abs)
        if length < 0 or of_day:
            raise Unreadable(Reason("ends-before-it-begins", begin=shown(pair.begin), end=shown(pair.end)))
        return float(length)  # too long: that is weighed where all figures are

    def convert(pairs: Sequence[Any], faults: Faults) -> list[Any]:
        values: list[float | None] = []
        for index, pair in enumerate(pairs):
            try:
                values.append(one(pair))
            except (ValueError, OverflowError) as error:
                faults.setdefault(index, titled(title, reason_of(error)))
                values.append(None)
        return values

    return convert


def _on_the_wall(begin: datetime | int, clocks: Clocks) -> datetime:
    """What the farm's clock showed when it began."""
    if isinstance(begin, int):
        begin = datetime.fromtimestamp(begin, tz=UTC)
    return begin if begin.tzinfo is None else begin.astimezone(clocks.begins.zone).replace(tzinfo=None)


def _at_clock(begin: datetime, clock: timedelta, clocks: Clocks, pair: Pair) -> datetime:
    """The moment on the wall of a time of day that ends what began: of the same day, or of the day after where it is
    before the beginning; but where the clock was put back between the two, it is the same day's."""
    if not timedelta(0) <= clock <= timedelta(days=1):
        raise Unreadable(Reason("not-a-time-of-day", what=shown(pair.end)))
    end = datetime.combine(begin.date(), time()) + clock
    if end >= begin.replace(microsecond=0) or all(clocks.ends.comes_twice(local_seconds(one)) for one in (begin, end)):
        return end
    return end + timedelta(seconds=DAY_S)


def _moments(moment: datetime | int, local: LocalTimes) -> Moments:
    try:
        return (moment if isinstance(moment, int) else moment_seconds(moment, local),)
    except CameTwice as error:
        return error.begin, error.end
