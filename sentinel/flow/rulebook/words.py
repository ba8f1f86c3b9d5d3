"""A rule's sentence: which places it may have, and filling them.

Filling knows nothing but `{name}`: no formats, no attributes, no lookups, so that a rules file can never reach
into the program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from sentinel.flow.measures.shape import Measure
from sentinel.flow.model import Subject, Verdict, kind_of, name_of
from sentinel.flow.rulebook.faults import Fault
from sentinel.flow.rulebook.quantities import UNITS, format_quantity
from sentinel.flow.rulebook.rule import Rule
from sentinel.flow.words import ENGLISH, PLACE, Words, fill, rendered, told
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

USUAL_CHORES = ("filter", "wash", "optics", "arm", "wire")
"""The chores that the rules which ship speak of; any other has the name that the farm gave it."""

KINDS = ("cow", "box", "tank", "herd", "feed", "file", "chore", "channel", "rule")
"""The kinds of subject, as they are said before its name."""


def known_places(kind: str, measure: Measure) -> tuple[str, ...]:
    """The places that the sentence of a rule on `measure` per `kind` may have."""
    return tuple(dict.fromkeys((*ALWAYS, *PLACES.get(kind, ()), *measure.facts)))


def sentence_faults(text: str, places: Iterable[str]) -> list[Fault]:
    """Places in a sentence that nothing fills, and braces that are no place."""
    known = list(places)
    faults = [
        Fault((), f"{{{name}}} is not known here{did_you_mean(name, known)}")
        for name in dict.fromkeys(PLACE.findall(text))
        if name not in known
    ]
    if re.search(r"[{}]", PLACE.sub("", text)):
        faults.append(Fault((), "a brace must enclose one of the names to fill in, such as {value}"))
    return faults


def subject_words(subject: Subject, words: Words = ENGLISH) -> str:
    """A subject as a person says it.

    >>> [subject_words(s) for s in ("quarter:217/LF", "chore:wash/2", "herd", "box:2")]
    ['left front quarter of cow 217', 'wash 2', 'the herd', 'box 2']
    """
    kind, name = kind_of(subject), name_of(subject)
    head, _, tail = name.partition("/")
    if kind == "herd":
        return words.say("the herd")
    if kind == "quarter":
        return told(words, "{quarter} quarter of cow {cow}", quarter=words.say(QUARTER_NAMES.get(tail, tail)), cow=head)
    if kind == "chore":
        return f"{chore_words(head, words)} {tail}".strip()
    if kind == "file":
        return told(words, "file {file} of {feed}", file=tail, feed=head)
    return f"{words.say(kind)} {name}"


def chore_words(name: str, words: Words) -> str:
    """A chore's name; one that the farm named itself stays as it is."""
    return words.say(name) if name in USUAL_CHORES else name


def words_of(rule: Rule, verdict: Verdict, at: int, words: Words) -> dict[str, str]:
    """Every word that may fill the rule's sentences, from what the rule said of a subject at `at`.

    A fact whose name ends in `_at` is a moment.
    """
    bound = verdict.facts.get("bound", rule.bound)
    facts = {
        key: words.time(value, at) if key.endswith("_at") and isinstance(value, int) else _fact(value, words)
        for key, value in verdict.facts.items()
    }
    kind, name = kind_of(verdict.subject), name_of(verdict.subject)
    head, _, tail = name.partition("/")
    parts = PLACES.get(kind, ())
    own = dict(zip(parts, (head, tail) if len(parts) > 1 else (name,), strict=False))
    if "quarter" in own:
        own["quarter"] = words.say(QUARTER_NAMES.get(tail, tail))
    if "chore" in own:
        own["chore"] = chore_words(head, words)
    return (
        facts
        | own
        | {
            "subject": subject_words(verdict.subject, words),
            "value": _value(verdict.value, rule.unit, words),
            "bound": _value(bound, rule.unit, words),
            "since": words.say(NOT_KNOWN) if verdict.since is None else words.time(verdict.since, at),
        }
    )


def say(rule: Rule, verdict: Verdict, at: int, words: Words) -> str:
    """The rule's sentence about one subject, as it reads at `at` in the farm's language and habits.

    A sentence that the catalogue does not have, such as a farm's own, is said as it is written.
    """
    return fill(words.say(rule.say), words_of(rule, verdict, at, words), words.say(NOT_KNOWN))


def look_first(rule: Rule, verdict: Verdict, at: int, words: Words) -> tuple[str, ...]:
    """What to look at first, filled in like the sentence."""
    known = words_of(rule, verdict, at, words)
    return tuple(fill(words.say(line), known, words.say(NOT_KNOWN)) for line in rule.look_first)


def _value(value: Any, unit: str, words: Words) -> str:
    if value is None:
        return words.say(NOT_KNOWN)
    if unit not in UNITS:
        return f"{words.number(float(value), 2)} {unit}".strip()
    return format_quantity(float(value), unit, words)


def _fact(value: Any, words: Words) -> str:
    """One figure behind a value; its unit, if any, is in the sentence."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return words.say(NOT_KNOWN)
    if isinstance(value, bool):
        return words.say("yes") if value else words.say("no")
    if isinstance(value, int | float):
        return words.number(float(value), 2)
    if isinstance(value, list | tuple):
        return ", ".join(_fact(one, words) for one in value)
    return str(rendered(value, words))
