"""farm.yaml: what the farm is (zone, boxes, rounds, chores, grazing) and where its exports appear."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, time
from typing import Annotated, Any, Literal
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from sentinel.flow.bounds import MB, USUAL, Bounds
from sentinel.flow.model import Problem, Source
from sentinel.flow.rules.quantities import parse_quantity
from sentinel.flow.tables import BOX_LOG, ChoreFacts
from sentinel.flow.yaml.text import Document, did_you_mean, read_yaml, validate

LONGEST_NAME = 100
"""So many characters may a box, a block or a chore be called by."""

MOST_CHORES = 2_000
"""So many chores may a farm have, each place counted by itself."""

MOST = 200
"""So many boxes, blocks or places of a chore may a farm have."""

_HOST = re.compile(r"(?:[0-9A-Za-z_-]{1,63}\.)*[0-9A-Za-z_-]{1,63}\.?|[0-9A-Fa-f:.]*:[0-9A-Fa-f:.%\w-]*|")
_SIZE = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?MB")
_BOUNDS = ("size", "unpacked", "rows", "cells", "seconds", "memory", "reasons", "month")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


def _clock(value: Any) -> time:
    match = _CLOCK.fullmatch(str(value).strip())
    if not match:
        raise ValueError(f'{value!r} is not a time of day; write it like "06:30"')
    return time(int(match[1]), int(match[2]))


def _duration_s(value: Any) -> int:
    return round(parse_quantity(str(value), "s"))


def _span_s(least: str, most: str) -> BeforeValidator:
    """A duration in seconds that lies between two others."""
    least_s, most_s = (_duration_s(one) for one in (least, most))

    def read(value: Any) -> int:
        seconds = _duration_s(value)
        if not least_s <= seconds <= most_s:
            raise ValueError(f"{value}: this must be between {least} and {most}")
        return seconds

    return BeforeValidator(read)


def _zone(value: Any) -> str:
    try:
        ZoneInfo(str(value))
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:  # OSError: the name of a folder of zones
        raise ValueError(f'{value!r} is not a time zone; write it like "Europe/Dublin"') from error
    return str(value)


def _name(value: Any) -> str:
    """Names of boxes and blocks may be written as numbers; they are kept as text."""
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise ValueError(f"{value!r} is not a name")
    text = str(value)
    if not text or "/" in text or ":" in text or len(text) > LONGEST_NAME:
        sentence = f"it must not be empty, hold / or :, or be longer than {LONGEST_NAME} characters"
        raise ValueError(f"{text[:LONGEST_NAME]!r} cannot be a name: {sentence}")
    return text


def _host(value: Any) -> str:
    """An address or a name to listen on, of parts that every resolver takes."""
    if not isinstance(value, str) or not _HOST.fullmatch(value) or len(value) > 253:
        raise ValueError(f"{value!r} is not an address to listen on; write 127.0.0.1, or 0.0.0.0 for the whole network")
    return value


def _address(value: Any) -> str:
    """The beginning of links; "" for none."""
    try:
        readable = isinstance(value, str) and len(value) <= 500 and (not value or bool(urlsplit(value).hostname))
        if readable and value:
            readable = urlsplit(value).port != 0  # a port that is none raises
    except ValueError:
        readable = False
    if not readable:
        raise ValueError(f"{value!r} is not an address for links; write it like http://192.168.1.20:8710")
    return str(value)


Clock = Annotated[time, BeforeValidator(_clock)]
Zone = Annotated[str, BeforeValidator(_zone)]
Name = Annotated[str, BeforeValidator(_name)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ChorePlan(_Part):
    """One chore: where it is done, and the box_log event that records it, if the boxes record it.

    `takes`: how long it takes at one place, until enough of them have been ticked to tell.
    """

    places: Literal["boxes"] | Annotated[tuple[Name, ...], Field(max_length=MOST)] = ()
    event: str = ""
    takes: Annotated[int, _span_s("10 s", "12 h")] | None = None

    @model_validator(mode="after")
    def _event_is_known(self) -> ChorePlan:
        words = BOX_LOG.column("event").words
        if self.event and self.event not in words:
            raise ValueError(f"event: {self.event!r} is not an event of a box log{did_you_mean(self.event, words)}")
        return self


class GrazingPlan(_Part):
    """One block that cows are let out to every day, from when to when, and when its wire must have been moved.

    `first_day` and `last_day`: outside these days it is not grazed. `groups`: whose cows (none named: all). A cow
    without a visit since its end is listed as still out `out_after` later.
    """

    name: Name
    begins: Clock = Field(alias="from")
    ends: Clock = Field(alias="to")
    move_wire_before: Clock | None = None
    chore: Name = "wire"
    first_day: date | None = None
    last_day: date | None = None
    groups: tuple[Name, ...] = Field((), max_length=MOST)
    out_after: Annotated[int, _span_s("0 s", "7 d")] = 2 * 3600

    @model_validator(mode="after")
    def _begins_and_ends(self) -> GrazingPlan:
        if self.begins == self.ends:
            raise ValueError("from and to are the same time, so the block is never grazed")
        if self.first_day and self.last_day and self.last_day < self.first_day:
            raise ValueError("last_day is before first_day, so the block is never grazed")
        return self


class PagePlan(_Part):
    """Where the page listens, and the address by which phones reach it (used in links)."""

    host: Annotated[str, BeforeValidator(_host)] = "127.0.0.1"
    port: int = Field(default=8710, ge=0, le=65535)
    address: Annotated[str, BeforeValidator(_address)] = ""


def _size(value: Any) -> int:
    match = _SIZE.fullmatch(str(value).strip())
    if not match:
        raise ValueError(f'{value!r} is not a size; write it like "16 MB"')
    return round(float(match[1].replace(",", ".")) * MB)


Size = Annotated[int, BeforeValidator(_size), Field(ge=1000, le=4000 * MB)]
Count = Annotated[int, Field(ge=1, le=100_000_000)]


class OneFilePlan(_Part):
    """What one export file may be at most; a larger one is set aside whole."""

    size: Size = USUAL.size
    unpacked: Size = USUAL.unpacked
    rows: Count = USUAL.rows
    cells: Count = USUAL.cells
    unpack_within: Annotated[int, _span_s("1 s", "1 h")] = USUAL.seconds
    memory: Size = USUAL.memory
    reasons: Count = USUAL.reasons
    month: Count = USUAL.month


def _scheme(value: Any) -> str:
    """Whose cow numbers these are, in reverse domain format as the ICAR ADE standard has it; "" if nobody's."""
    if not isinstance(value, str) or len(value) > 250 or not re.fullmatch(r"(?:[\w-]+(?:\.[\w-]+)*)?", value):
        raise ValueError(f'{value!r} is not a scheme of animal numbers; write it as the exports do, like "org.farm"')
    return value


class FeedPlan(_Part):
    """What the farm says of a feed that has no map: how often a file comes."""

    every: Annotated[int, _span_s("1 min", "366 d")]


class SealPlan(_Part):
    """Where the seal of each day goes: a file to which a line is added, and people who get it as a notice."""

    file: str = Field(default="", max_length=1000)
    tell: tuple[Name, ...] = Field(default=(), max_length=MOST)


FOR_EVER = "for ever"
_KEPT = re.compile(r"([1-9][0-9]{0,4}) (d|day|days|week|weeks|year|years)")
_DAYS = {"d": 1, "day": 1, "days": 1, "week": 7, "weeks": 7, "year": 365.25, "years": 365.25}


def _kept_s(least_d: int) -> BeforeValidator:
    """For how long something is kept, in seconds: `for ever` (None), or days, weeks or years, at least so many days."""

    def read(value: Any) -> int | None:
        text = " ".join(str(value).split())
        if text == FOR_EVER:
            return None
        match = _KEPT.fullmatch(text)
        if not match:
            raise ValueError(
                f'{value!r} says for how long in no way known; write it like "3 years", "400 d", "{FOR_EVER}"'
            )
        days = int(match[1]) * _DAYS[match[2]]
        if days < least_d:
            raise ValueError(f"{value}: this must be at least {least_d} d, as decisions or pages look back so far")
        return round(days * 86400)

    return BeforeValidator(read)


class KeepPlan(_Part):
    """For how long what is kept; None is for ever. `sentinel let-go` goes by it, and nothing else deletes."""

    rows: Annotated[int | None, _kept_s(800)] = None
    set_aside: Annotated[int | None, _kept_s(60)] = None
    photos: Annotated[int | None, _kept_s(30)] = None
    log: Annotated[int | None, _kept_s(800)] = None


class FarmPlan(_Part):
    """farm.yaml as it is written."""

    name: str = Field(max_length=LONGEST_NAME)
    zone: Zone
    decimal: Literal[".", ","] = "."
    inbox: str = Field("exports", max_length=1000)
    boxes: tuple[Name, ...] = Field((), max_length=MOST)
    rounds: tuple[Clock, ...] = Field((time(6, 30), time(16, 30)), max_length=24)
    worklist_before: Annotated[int, _span_s("0 s", "12 h")] = 15 * 60
    chores: dict[Name, ChorePlan] = Field(default_factory=dict, max_length=MOST)
    grazing: tuple[GrazingPlan, ...] = Field((), max_length=MOST)
    page: PagePlan = PagePlan()
    give_up_after: Annotated[int, _span_s("1 min", "30 d")] = 2 * 3600
    settle: Annotated[int, _span_s("0 s", "1 h")] = 2
    look_every: Annotated[int, _span_s("1 s", "1 h")] = 15
    not_used: tuple[str, ...] = Field((), max_length=MOST)
    feeds: dict[str, FeedPlan] = Field(default_factory=dict, max_length=MOST)
    animal_scheme: Annotated[str, BeforeValidator(_scheme)] = ""
    language: Literal["en", "de"] = "en"
    ping: str = ""
    one_file: OneFilePlan = OneFilePlan()
    seal: SealPlan = SealPlan()
    keep: KeepPlan = KeepPlan()


@dataclass(frozen=True, slots=True)
class Farm:
    """A farm's settings.

    `settle_s`: how long an export must stand still before it is read; `look_every_s`: how often the folder is
    looked through even if no message came about it; `not_used`: feeds that once came and no longer count; `grazing`:
    the blocks and their plan; `language`: of all that people are told; `give_up_after_s`: for how long one notice is
    tried on a channel that does not work; `ping`: the name by which secrets.yaml has the address that each whole
    look asks, "" for none; `one_file`: what an export may be at most; `every_s`: how often a feed without a map comes;
    `animal_scheme`: whose cow numbers these are, for programs that ask, "" if nobody has said. `seal`: where each day's
    seal goes; `keep`: for how long what is kept.
    """

    name: str
    zone: str
    decimal: str
    inbox: str
    boxes: tuple[str, ...]
    rounds: tuple[time, ...]
    worklist_before_s: int
    chores: tuple[ChoreFacts, ...]
    page: PagePlan
    give_up_after_s: int
    settle_s: int
    look_every_s: int
    not_used: tuple[str, ...]
    grazing: tuple[GrazingPlan, ...] = ()
    language: str = "en"
    ping: str = ""
    one_file: Bounds = USUAL
    every_s: Mapping[str, int] = field(default_factory=dict)
    animal_scheme: str = ""
    seal: SealPlan = field(default_factory=SealPlan)
    keep: KeepPlan = field(default_factory=KeepPlan)


def load_farm(text: str, name: str) -> tuple[Farm | None, list[Problem]]:
    """Read farm.yaml; all problems at once, with their places."""
    document, problems = read_yaml(text, name)
    if problems:
        return None, problems
    plan, problems = validate(FarmPlan, document.data if document.data is not None else {}, document)
    if plan is None:
        return None, problems
    planned = {(block.chore, block.name) for block in plan.grazing if block.move_wire_before is not None}
    chores = [
        ChoreFacts(chore, place, one.event, (chore, place) in planned, one.takes)
        for chore, one in plan.chores.items()
        for place in ((plan.boxes if one.places == "boxes" else one.places) or ("",))
    ]
    if len(chores) > MOST_CHORES:
        sentence = f"chores: {len(chores):,} with all their places; at most {MOST_CHORES:,} are allowed; take some out"
        return None, [Problem(document.source(("chores",)), sentence)]
    problems = _grazing_faults(plan, chores, document)
    if problems:
        return None, problems
    return (
        Farm(
            plan.name,
            plan.zone,
            plan.decimal,
            plan.inbox,
            plan.boxes,
            tuple(sorted(plan.rounds)),
            plan.worklist_before,
            tuple(chores),
            plan.page,
            plan.give_up_after,
            plan.settle,
            plan.look_every,
            plan.not_used,
            plan.grazing,
            plan.language,
            plan.ping,
            Bounds(**dict(zip(_BOUNDS, plan.one_file.model_dump().values(), strict=True))),
            {name: one.every for name, one in plan.feeds.items()},
            plan.animal_scheme,
            plan.seal,
            plan.keep,
        ),
        [],
    )


def check_ping(farm: Farm, known: Collection[str]) -> list[Problem]:
    """A problem if the address to ping has none in secrets.yaml; `known` are the names that have one."""
    if not farm.ping or farm.ping in known:
        return []
    return [Problem(Source("farm.yaml"), f"ping: {farm.ping} has no address under pings: in secrets.yaml")]


def _grazing_faults(plan: FarmPlan, chores: list[ChoreFacts], document: Document) -> list[Problem]:
    """Wires that no chore moves, and blocks in which the same cows would be at the same time."""
    problems = []
    places = {one.subject for one in chores}
    for n, block in enumerate(plan.grazing):
        wanted = f"chore:{block.chore}/{block.name}"
        if block.move_wire_before is not None and wanted not in places:
            known = [one.place for one in chores if one.name == block.chore]
            sentence = f"grazing.{n}.move_wire_before: no chore {block.chore} has the place {block.name}"
            where = document.source(("grazing", n, "move_wire_before"))
            problems.append(Problem(where, f"{sentence}{did_you_mean(block.name, known)}"))
        for other in plan.grazing[:n]:
            if _at_once(block, other):
                sentence = (
                    f"grazing.{n}.from: {block.name} and {other.name} are grazed by the same cows at the same time"
                )
                problems.append(Problem(document.source(("grazing", n, "from")), sentence))
    return problems


def _at_once(one: GrazingPlan, other: GrazingPlan) -> bool:
    """Whether two blocks are grazed by the same cows at the same time of the same day."""
    apart = one.groups and other.groups and not set(one.groups) & set(other.groups)
    last, first = (one.last_day, other.first_day), (other.last_day, one.first_day)
    after = any(end is not None and begin is not None and end < begin for end, begin in (last, first))
    return not apart and not after and bool(_minutes(one) & _minutes(other))


def _minutes(block: GrazingPlan) -> set[int]:
    """The minutes of the day at which a block is grazed; it may go past midnight."""
    begin, end = (clock.hour * 60 + clock.minute for clock in (block.begins, block.ends))
    return set(range(begin, end)) if begin < end else set(range(begin, 24 * 60)) | set(range(end))
