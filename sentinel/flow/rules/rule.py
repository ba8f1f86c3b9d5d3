"""A rule as sentinel holds it: every threshold a plain number in the measure's unit, every duration in seconds."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict

from sentinel.flow.model import Source

URGENCIES = ("now", "round", "log")
"""`now` goes to the phone at once, `round` waits for the list sent before the next round, `log` is only kept."""

USUAL_FINDINGS = ("seen to", "nothing found")
"""What a person may answer to a rule that names no findings of its own."""

Where = dict[str, tuple[str | float | bool, ...]]
"""Attribute to the values it may have; a subject must fit every attribute."""


class RuleClass(BaseModel):
    """Bounds of their own for some subjects; None is what the rule itself says.

    A class with its own raising bound takes neither the clearing nor the pressing bound from the rule, as those
    were meant for the other bound.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    where: Where = {}
    raise_over: float | None = None
    raise_under: float | None = None
    clear_under: float | None = None
    clear_over: float | None = None
    now_over: float | None = None
    now_under: float | None = None
    lasting_s: int | None = None
    urgency: str | None = None


class Rule(BaseModel):
    """One rule: which measure, past which bound, how pressing, and what to say, to mind and to look at first.

    `raise_*`, `clear_*` and `now_*` are in the measure's `unit`; exactly one of `raise_over` and `raise_under` is
    given. Durations ending in `_s` are seconds; 0 is never for `again_within_s`, `remind_every_s`,
    `together_s` and `over_after_s`. `text` is the rule's own YAML, `source` where it begins.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    measure: str
    per: str
    unit: str = ""
    options: dict[str, float] = {}
    raise_over: float | None = None
    raise_under: float | None = None
    clear_under: float | None = None
    clear_over: float | None = None
    now_over: float | None = None
    now_under: float | None = None
    lasting_s: int = 0
    where: Where = {}
    classes: tuple[RuleClass, ...] = ()
    urgency: str = "round"
    covered_by: tuple[str, ...] = ()
    again_within_s: int = 0
    remind_every_s: int = 0
    remind_most: int = 0
    together_s: int = 0
    over_after_s: int = 0
    say: str = "{subject}: {value}"
    caution: tuple[str, ...] = ()
    look_first: tuple[str, ...] = ()
    findings: tuple[str, ...] = USUAL_FINDINGS
    about: str = ""
    examples: tuple[dict[str, Any], ...] = ()
    source: Source = Source("")
    text: str = ""

    @property
    def bound(self) -> float | None:
        """The rule's own raising bound, in the measure's unit."""
        return self.raise_under if self.raise_over is None else self.raise_over
