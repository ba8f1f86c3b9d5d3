"""Who is told what and when: people.yaml, and the hours in which each person may be reached.

Hours are wall-clock times in the farm's zone; every moment asked about is UTC seconds.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator

from sentinel.flow.model import Problem, Source
from sentinel.flow.rules.quantities import parse_quantity
from sentinel.flow.yaml.text import Document, did_you_mean, read_yaml, validate

WEEKDAYS = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")
DAY_MIN = 24 * 60
MOST_PEOPLE = 200
MOST_SPANS = 50
MOST_AN_HOUR = 1000
_LOOK_DAYS = 9  # hours repeat weekly, so the next moment on duty is at most eight days away

_CLOCK = r"(\d{1,2}):(\d{2})"
_DAY = rf"({'|'.join(WEEKDAYS)})[a-z]*"
_SPAN = re.compile(rf"(?:{_DAY}(?:\s*[-–]\s*{_DAY})?\s+)?{_CLOCK}\s*[-–]\s*{_CLOCK}", re.IGNORECASE)
_WEEK_TIME = re.compile(rf"{_DAY}\s+{_CLOCK}", re.IGNORECASE)
_AT_MOST = re.compile(r"(\d+)\s+per\s+hour")
_CHANNEL = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*")


def moment(day: date, minute: int, zone: str) -> int:
    """The UTC second at which the wall clock in `zone` shows `minute` (minutes after midnight) of `day`.

    An hour that a clock change repeats counts the first time only; a time that it skips falls as much later as
    the clock jumped (02:30 in the skipped hour is 03:30).

    >>> day = date(2026, 3, 29)
    >>> moment(day, 3 * 60 + 30, "Europe/Berlin") - moment(day, 2 * 60 + 30, "Europe/Berlin")
    0
    """
    naive = datetime(day.year, day.month, day.day) + timedelta(minutes=minute)  # noqa: DTZ001
    return int(naive.replace(tzinfo=ZoneInfo(zone)).timestamp())


@dataclass(frozen=True, slots=True)
class Span:
    """Days of the week (0 is Monday) and minutes after midnight; an end at or before the start is next morning."""

    days: tuple[int, ...]
    start_min: int
    end_min: int


@dataclass(frozen=True, slots=True)
class Hours:
    """When a person may be reached: a set of spans, or always."""

    text: str
    spans: tuple[Span, ...] = ()
    always: bool = False

    def cover(self, at: int, zone: str) -> bool:
        """Whether the person may be reached at `at`."""
        return self.next_on(at, zone) == at

    def next_on(self, at: int, zone: str) -> int | None:
        """The first moment at or after `at` at which the person may be reached; None if there is none."""
        if self.always:
            return at
        return next((max(at, start) for start, end in self._stretches(at, zone) if end > at), None)

    def next_change(self, at: int, zone: str) -> int | None:
        """The first moment after `at` at which being reachable begins or ends; None if it never does."""
        if self.always:
            return None
        return next((edge for stretch in self._stretches(at, zone) for edge in stretch if edge > at), None)

    def _stretches(self, at: int, zone: str) -> tuple[tuple[int, int], ...]:
        """The stretches around and after `at` in which the person may be reached."""
        return _stretches(self.spans, datetime.fromtimestamp(at, ZoneInfo(zone)).date(), zone)


@lru_cache(maxsize=256)
def _stretches(spans: tuple[Span, ...], today: date, zone: str) -> tuple[tuple[int, int], ...]:
    """Stretches of UTC seconds from before `today` to a week after it, in order; those that touch are one."""
    stretches = []
    for offset in range(-2, _LOOK_DAYS + 1):
        day = today + timedelta(days=offset)
        for span in spans:
            if day.weekday() in span.days:
                end = span.end_min + (DAY_MIN if span.end_min <= span.start_min else 0)
                stretches.append((moment(day, span.start_min, zone), moment(day, end, zone)))
    merged: list[tuple[int, int]] = []
    for start, stop in sorted(stretches):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(stop, merged[-1][1]))
        elif stop > start:
            merged.append((start, stop))
    return tuple(merged)


ALWAYS = Hours("always", always=True)
NEVER = Hours("never", always=False)


@dataclass(frozen=True, slots=True)
class WeekTime:
    """A moment of each week: day of the week (0 is Monday) and minutes after midnight, on the farm's clock."""

    text: str
    day: int
    minute: int


@dataclass(frozen=True, slots=True)
class Person:
    """One person who may be told; who has no channels is never told, and looks at the page.

    `now` and `round` are the hours in which they take alerts that cannot wait and worklists. `next_after_s`:
    seconds without an answer after which the next in the list is told too (None: never). `at_most`: pushes in
    any hour; the rest arrives as one digest. `computer`: looks after the computer sentinel runs on, and is told of
    sentinel's own troubles. `over_at_night`: hears at night as well that something is over. `herd_week`: when each week
    they are told how the herd is doing (None: never). `tunes`: may write another bound into the rules.
    """

    name: str
    channels: tuple[str, ...] = ()
    now: Hours = ALWAYS
    round: Hours = ALWAYS
    next_after_s: int | None = 20 * 60
    at_most: int = 6
    worklist: bool = False
    computer: bool = False
    over_at_night: bool = False
    herd_week: WeekTime | None = None
    tunes: bool = False
    source: Source = field(default=Source("people.yaml"), compare=False)
    channel_sources: tuple[Source, ...] = field(default=(), compare=False, repr=False)


def office_of(people: Iterable[Person]) -> tuple[str, ...]:
    """Who looks after the computer and gets the list of the round: its line on files is theirs alone."""
    return tuple(person.name for person in people if person.computer and person.worklist)


def read_hours(text: Any) -> Hours:
    """Hours as people write them; ValueError with a sentence if they cannot be read.

    >>> read_hours("22:00-05:00").spans
    (Span(days=(0, 1, 2, 3, 4, 5, 6), start_min=1320, end_min=300),)
    >>> [s.days for s in read_hours("Mo-Fr 05:00-22:00, Su 06:00-20:00").spans]
    [(0, 1, 2, 3, 4), (6,)]
    """
    wanted = 'write "always", "never", "05:00-22:00" or "Mo-Fr 05:00-22:00, Sa-Su 06:00-20:00"'
    if not isinstance(text, str):
        raise ValueError(f"{text!r} is not a text of hours; {wanted}")
    word = text.strip()
    if word.lower() in ("always", "never"):
        return Hours(word.lower(), always=word.lower() == "always")
    spans = []
    parts = re.split(r"[,;]", word, maxsplit=MOST_SPANS)
    if len(parts) > MOST_SPANS:
        raise ValueError(f"this is more than {MOST_SPANS} spans of hours; {wanted}")
    for part in (one.strip() for one in parts):
        match = _SPAN.fullmatch(part)
        if not match:
            raise ValueError(f'"{part}" is not a span of hours; {wanted}')
        first, last, *clock = match.groups()
        hour, minute, end_hour, end_minute = (int(n) for n in clock)
        start, end = hour * 60 + minute, end_hour * 60 + end_minute
        if minute > 59 or end_minute > 59 or start >= DAY_MIN or end > DAY_MIN:
            raise ValueError(f'"{part}" is not on a 24-hour clock; hours run from 00:00 to 24:00')
        if start == end:
            raise ValueError(f'"{part}" begins and ends at the same time; write "always" for the whole day')
        spans.append(Span(_days(first, last), start, end))
    return Hours(word, tuple(spans))


def _days(first: str | None, last: str | None) -> tuple[int, ...]:
    """The days from one weekday to another, both included, over the weekend if need be; all if none is named."""
    if first is None:
        return tuple(range(7))
    start = WEEKDAYS.index(first.title())
    end = WEEKDAYS.index(last.title()) if last else start
    return tuple(sorted((start + n) % 7 for n in range((end - start) % 7 + 1)))


DAYTIME = read_hours("06:00-21:00")
"""The hours in which people hear that something is over (our choice, no source)."""


def _week_time(given: Any) -> WeekTime | None:
    """`Monday 07:00` or `no`."""
    wanted = 'write a day and a time, such as "Monday 07:00", or "no"'
    if given == "no" or given is False:
        return None
    match = _WEEK_TIME.fullmatch(given.strip()) if isinstance(given, str) else None
    if not match:
        raise ValueError(f"{given!r} is not a time of the week; {wanted}")
    hour, minute = int(match[2]), int(match[3])
    if hour > 23 or minute > 59:
        raise ValueError(f"{given!r} is not on a 24-hour clock; {wanted}")
    return WeekTime(given.strip(), WEEKDAYS.index(match[1].title()), hour * 60 + minute)


def _next_after(given: Any) -> int | None:
    """`20 min`, `1 h` or `never`, in seconds."""
    if given == "never":
        return None
    seconds = int(parse_quantity(given, "s"))
    if seconds < 60:
        raise ValueError(f'{given}: that leaves no time to answer; write for example "20 min", "1 h" or "never"')
    return seconds


def _at_most(given: Any) -> int:
    """`6 per hour`, as a count."""
    match = _AT_MOST.fullmatch(given.strip()) if isinstance(given, str) else None
    if not match or len(match[1]) > 9 or not 0 < int(match[1]) <= MOST_AN_HOUR:
        raise ValueError(f'{given!r} is not a ceiling; write for example "6 per hour" (1 to {MOST_AN_HOUR:,})')
    return int(match[1])


def _yes_or_no(given: Any) -> bool:
    """`yes` or `no` (YAML 1.2 leaves them words), or true or false."""
    if isinstance(given, bool):
        return given
    if given in ("yes", "no"):
        return bool(given == "yes")
    raise ValueError(f'{given!r} is neither "yes" nor "no"')


def _name(given: Any) -> str:
    """A person's name: one line of text that is not empty."""
    if not isinstance(given, str) or not given.strip() or "\n" in given.strip() or len(given) > 100:
        raise ValueError(f"{given!r} is not a name; write it as text, on one line, of at most 100 characters")
    return given.strip()


def _channel(given: Any) -> str:
    """The name of a channel; its address is kept in secrets.yaml or in the environment."""
    if isinstance(given, str) and _CHANNEL.fullmatch(given):
        return given
    if isinstance(given, str) and "://" in given:  # never repeat it: an address holds a password
        raise ValueError("this is an address; write the channel's name and keep its address in secrets.yaml")
    raise ValueError(f"{given!r} is not a channel's name; use letters, digits and hyphens, such as marit-phone")


def _both(given: Any) -> Any:
    """Hours given as one text hold for both kinds of urgency."""
    return {"now": given, "round": given} if isinstance(given, str) else given


HoursText = Annotated[Hours, PlainValidator(read_hours)]


class _HoursText(BaseModel):
    model_config = ConfigDict(extra="forbid")
    now: HoursText = ALWAYS
    round: HoursText = ALWAYS


class _PersonText(BaseModel):
    model_config = ConfigDict(extra="forbid")
    person: Annotated[str, PlainValidator(_name)]
    channels: list[Annotated[str, PlainValidator(_channel)]] = Field(max_length=20)
    hours: Annotated[_HoursText, BeforeValidator(_both)] = _HoursText()
    next_after: Annotated[int | None, PlainValidator(_next_after)] = 20 * 60
    at_most: Annotated[int, PlainValidator(_at_most)] = 6
    worklist: Annotated[bool, PlainValidator(_yes_or_no)] = False
    computer: Annotated[bool, PlainValidator(_yes_or_no)] = False
    over_at_night: Annotated[bool, PlainValidator(_yes_or_no)] = False
    herd_week: Annotated[WeekTime | None, PlainValidator(_week_time)] = None
    tunes: Annotated[bool, PlainValidator(_yes_or_no)] = False


def load_people(text: str, name: str) -> tuple[tuple[Person, ...], list[Problem]]:
    """The people of people.yaml in the order they are told, and everything wrong with it."""
    document, problems = read_yaml(text, name)
    if problems:
        return (), problems
    if not isinstance(document.data, list) or not document.data:
        sentence = 'nobody is listed, so nobody would be told; write a list of people, each beginning with "- person:"'
        return (), [Problem(document.source(()), sentence)]
    if len(document.data) > MOST_PEOPLE:
        sentence = f"there are {len(document.data):,} people here; at most {MOST_PEOPLE} are allowed; take some out"
        return (), [Problem(document.source(()), sentence)]
    people: list[Person] = []
    for index, item in enumerate(document.data):
        person, wrong = _person(item, index, document)
        problems += wrong
        if person and any(person.name == other.name for other in people):
            problems.append(Problem(person.source, f'person: "{person.name}" is listed twice'))
        elif person:
            people.append(person)
    return tuple(people), problems


def _person(item: Any, index: int, document: Document) -> tuple[Person | None, list[Problem]]:
    """One item of the list."""
    if not isinstance(item, dict):
        return None, [Problem(document.source((index,)), 'a person is a list item that begins with "- person:"')]
    read, problems = validate(_PersonText, item, document, (index,))
    if read is None:
        return None, sorted(set(problems))  # hours given as one text are wrong twice
    person = Person(
        name=read.person,
        channels=tuple(read.channels),
        now=read.hours.now if read.channels else NEVER,
        round=read.hours.round if read.channels else NEVER,
        next_after_s=read.next_after,
        at_most=read.at_most,
        worklist=read.worklist,
        computer=read.computer,
        over_at_night=read.over_at_night,
        herd_week=read.herd_week,
        tunes=read.tunes,
        source=document.source((index, "person")),
        channel_sources=tuple(document.source((index, "channels", n)) for n in range(len(read.channels))),
    )
    return person, _never_sent(person, document, index)


def _never_sent(person: Person, document: Document, index: int) -> list[Problem]:
    """A problem if the week's notice falls outside the person's hours; who is never told anything is told by choice."""
    when, spans = person.herd_week, person.round.spans
    if when is None or not spans or any(_covers(span, when) for span in spans):
        return []
    sentence = (
        f"herd_week: {when.text} is outside {person.name}'s hours for what can wait ({person.round.text}), "
        "so it would never be sent; choose a time within them"
    )
    return [Problem(document.source((index, "herd_week")), sentence)]


def _covers(span: Span, when: WeekTime) -> bool:
    """Whether a span of hours, which may end next morning, covers a time of the week."""
    over_night = span.end_min <= span.start_min
    today = when.day in span.days and when.minute >= span.start_min and (over_night or when.minute < span.end_min)
    return today or (over_night and (when.day - 1) % 7 in span.days and when.minute < span.end_min)


def check_channels(people: Collection[Person], known: Collection[str]) -> list[Problem]:
    """A problem for every channel of a person that has no address; `known` are the names that have one."""
    problems = []
    for person in people:
        for channel, source in zip(person.channels, person.channel_sources, strict=True):
            if channel not in known:
                variable = "SENTINEL_CHANNEL_" + channel.upper().replace("-", "_")
                sentence = (
                    f"channels: {channel} has no address in secrets.yaml or {variable}{did_you_mean(channel, known)}"
                )
                problems.append(Problem(source, sentence))
    return problems
