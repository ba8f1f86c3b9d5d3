"""farm.yaml: what the farm is (zone, boxes, rounds, chores) and where its exports appear."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import time
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from sentinel.flow.model import Problem
from sentinel.flow.rulebook.quantities import parse_quantity
from sentinel.flow.tables import BOX_LOG, ChoreFacts
from sentinel.flow.yaml_text import did_you_mean, read_yaml, validate

_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


def _clock(value: Any) -> time:
    found = _CLOCK.fullmatch(str(value).strip())
    if not found:
        raise ValueError(f'{value!r} is not a time of day; write it like "06:30"')
    return time(int(found[1]), int(found[2]))


def _duration_s(value: Any) -> int:
    return round(parse_quantity(str(value), "s"))


def _zone(value: Any) -> str:
    try:
        ZoneInfo(str(value))
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise ValueError(f'{value!r} is not a time zone; write it like "Europe/Dublin"') from error
    return str(value)


def _name(value: Any) -> str:
    """Names of boxes and blocks may be written as numbers; they are kept as text."""
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise ValueError(f"{value!r} is not a name")
    text = str(value)
    if not text or "/" in text or ":" in text:
        raise ValueError(f"{text!r} cannot be a name: it must not be empty or hold / or :")
    return text


Clock = Annotated[time, BeforeValidator(_clock)]
DurationS = Annotated[int, BeforeValidator(_duration_s)]
Zone = Annotated[str, BeforeValidator(_zone)]
Name = Annotated[str, BeforeValidator(_name)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ChorePlan(_Part):
    """One chore: where it is done, and the box_log event that records it, if the boxes record it."""

    places: Literal["boxes"] | tuple[Name, ...] = ()
    event: str = ""

    @model_validator(mode="after")
    def _event_is_known(self) -> ChorePlan:
        words = BOX_LOG.column("event").words
        if self.event and self.event not in words:
            raise ValueError(f"event: {self.event!r} is not an event of a box log{did_you_mean(self.event, words)}")
        return self


class PagePlan(_Part):
    """Where the page listens, and the address by which phones reach it (used in links)."""

    host: str = "127.0.0.1"
    port: int = Field(default=8710, ge=0, le=65535)
    address: str = ""


class FarmPlan(_Part):
    """farm.yaml as it is written."""

    name: str
    zone: Zone
    decimal: Literal[".", ","] = "."
    inbox: str = "exports"
    boxes: tuple[Name, ...] = ()
    rounds: tuple[Clock, ...] = (time(6, 30), time(16, 30))
    worklist_before: DurationS = 15 * 60
    chores: dict[Name, ChorePlan] = Field(default_factory=dict)
    page: PagePlan = PagePlan()
    give_up_after: DurationS = 2 * 3600
    settle: DurationS = 2
    look_every: DurationS = 15
    not_used: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Farm:
    """A farm's settings.

    `settle_s`: how long an export must stand still before it is read; `look_every_s`: how often the folder is
    looked through even if nothing was heard of it; `not_used`: feeds that once came and no longer count.
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


def load_farm(text: str, name: str) -> tuple[Farm | None, list[Problem]]:
    """Read farm.yaml; all problems at once, with their places."""
    document, problems = read_yaml(text, name)
    if problems:
        return None, problems
    plan, problems = validate(FarmPlan, document.data if document.data is not None else {}, document)
    if plan is None:
        return None, problems
    chores = [
        ChoreFacts(chore, place, one.event)
        for chore, one in plan.chores.items()
        for place in ((plan.boxes if one.places == "boxes" else one.places) or ("",))
    ]
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
        ),
        [],
    )
