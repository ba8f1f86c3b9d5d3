"""A rule's sentence: which places it may have, and filling them.

Filling knows nothing but `{name}`: no formats, no attributes, no lookups, so that a rules file can never reach
into the program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.flow.measures.shape import Measure
from sentinel.flow.model import DAY_S, Subject, Verdict, kind_of, name_of
from sentinel.flow.rulebook.faults import Fault
from sentinel.flow.rulebook.quantities import UNITS, format_number, format_quantity
from sentinel.flow.rulebook.rule import Rule
from sentinel.flow.yaml_text import did_you_mean

PLACES: Mapping[str, tuple[str, ...]] = {
    "cow": ("cow",),
    "quarter": ("cow", "quarter"),
    "box": ("box",),
    "tank": ("tank",),
    "feed": ("feed",),
    "file": ("feed", "file"),
    "chore": ("chore", "place"),
    "channel": ("channel",),
    "rule": ("rule",),
    "herd": (),
}
"""Kind of subject to the parts of its name that a sentence may say."""

ALWAYS = ("subject", "value", "bound", "since")
"""Places that every rule's sentence may have: whom, how much, past which bound, since when."""

QUARTER_NAMES = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
NOT_KNOWN = "not known"

_PLACE = re.compile(r"\{([a-z][a-z0-9_]*)\}")


def known_places(kind: str, measure: Measure) -> tuple[str, ...]:
    """The places that the sentence of a rule on `measure` per `kind` may have."""
    return tuple(dict.fromkeys((*ALWAYS, *PLACES.get(kind, ()), *measure.facts)))


def sentence_faults(text: str, places: Iterable[str]) -> list[Fault]:
    """Places in a sentence that nothing fills, and braces that are no place."""
    known = list(places)
    faults = [
        Fault((), f"{{{name}}} is not known here{did_you_mean(name, known)}")
        for name in dict.fromkeys(_PLACE.findall(text))
        if name not in known
    ]
    if re.search(r"[{}]", _PLACE.sub("", text)):
        faults.append(Fault((), "a brace must enclose one of the names to fill in, such as {value}"))
    return faults


def fill(text: str, words: Mapping[str, str]) -> str:
    """The text with each `{name}` replaced by its word; one that is missing reads `not known`.

    >>> fill("Cow {cow} not milked for {value}", {"cow": "217", "value": "14 h 30 min"})
    'Cow 217 not milked for 14 h 30 min'
    """
    return _PLACE.sub(lambda place: words.get(place[1], NOT_KNOWN), text)


def subject_words(subject: Subject) -> str:
    """A subject as a person says it.

    >>> [subject_words(s) for s in ("quarter:217/LF", "chore:wash/2", "herd", "box:2")]
    ['left front quarter of cow 217', 'wash 2', 'the herd', 'box 2']
    """
    kind, name = kind_of(subject), name_of(subject)
    head, _, tail = name.partition("/")
    if kind == "herd":
        return "the herd"
    if kind == "quarter":
        return f"{QUARTER_NAMES.get(tail, tail)} quarter of cow {head}"
    if kind == "chore":
        return f"{head} {tail}".strip()
    if kind == "file":
        return f"file {tail} of {head}"
    return f"{kind} {name}"


def moment_words(moment: int, at: int, zone: str) -> str:
    """A moment in the farm's zone, as short as it can be said at `at`.

    >>> moment_words(1_767_261_600, 1_767_272_400, "UTC"), moment_words(1_767_088_800, 1_767_272_400, "UTC")
    ('10:00', 'Tue 10:00')
    """
    here, now = (datetime.fromtimestamp(x, UTC).astimezone(ZoneInfo(zone)) for x in (moment, at))
    if here.date() == now.date():
        return f"{here:%H:%M}"
    if abs(at - moment) < 6 * DAY_S:
        return f"{here:%a %H:%M}"
    return f"{here.day} {here:%b %H:%M}"


def words_of(rule: Rule, verdict: Verdict, at: int, zone: str, decimal: str = ".") -> dict[str, str]:
    """Every word that may fill the rule's sentences, from what the rule said of a subject at `at`.

    A fact whose name ends in `_at` is a moment.
    """
    bound = verdict.facts.get("bound", rule.bound)
    facts = {
        key: moment_words(value, at, zone) if key.endswith("_at") and isinstance(value, int) else _fact(value, decimal)
        for key, value in verdict.facts.items()
    }
    kind, name = kind_of(verdict.subject), name_of(verdict.subject)
    head, _, tail = name.partition("/")
    parts = PLACES.get(kind, ())
    own = dict(zip(parts, (head, tail) if len(parts) > 1 else (name,), strict=False))
    if "quarter" in own:
        own["quarter"] = QUARTER_NAMES.get(tail, tail)
    return (
        facts
        | own
        | {
            "subject": subject_words(verdict.subject),
            "value": _value(verdict.value, rule.unit, decimal),
            "bound": _value(bound, rule.unit, decimal),
            "since": NOT_KNOWN if verdict.since is None else moment_words(verdict.since, at, zone),
        }
    )


def say(rule: Rule, verdict: Verdict, at: int, zone: str, decimal: str = ".") -> str:
    """The rule's sentence about one subject, as it reads at `at` in the farm's zone and decimal habit."""
    return fill(rule.say, words_of(rule, verdict, at, zone, decimal))


def look_first(rule: Rule, verdict: Verdict, at: int, zone: str, decimal: str = ".") -> tuple[str, ...]:
    """What to look at first, filled in like the sentence."""
    words = words_of(rule, verdict, at, zone, decimal)
    return tuple(fill(line, words) for line in rule.look_first)


def _value(value: Any, unit: str, decimal: str) -> str:
    if value is None:
        return NOT_KNOWN
    if unit not in UNITS:
        return f"{format_number(float(value), 2, decimal)} {unit}".strip()
    return format_quantity(float(value), unit, decimal)


def _fact(value: Any, decimal: str) -> str:
    """One figure behind a value; its unit, if any, is in the sentence."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return format_number(float(value), 2, decimal)
    if isinstance(value, list | tuple):
        return ", ".join(_fact(one, decimal) for one in value)
    return str(value)
