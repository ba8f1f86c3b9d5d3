"""A rule's sentence: which places it may have, and filling them; no sentence ever shows a hole.

Filling knows nothing but `{name}`: no formats, no attributes, no lookups, so that a rules file can never reach
into the program. A part in square brackets is left out where a place in it is not known, or says what stands after
its bar instead: `[{because}|signs in her milk]`. A figure is written with its word for one and for more:
`{cows|cow|cows}`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from sentinel.flow.language import PLACE, Figure, Words, fill, rendered
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Verdict
from sentinel.flow.rules.faults import Fault
from sentinel.flow.rules.quantities import UNITS, format_quantity
from sentinel.flow.rules.rule import Rule
from sentinel.flow.rules.strength import SIGN_UNITS, strength
from sentinel.flow.subjects import kind_named, said_parts, subject_words
from sentinel.flow.yaml.text import did_you_mean

ALWAYS = ("subject", "value", "bound", "since")
"""Places that every rule's sentence may have: whom, how much, past which bound, since when.

Where the value is a score, there is `sign` as well: how strong a sign it is, in a word.
"""


def known_places(kind: str, measure: Measure) -> tuple[str, ...]:
    """The places that the sentence of a rule on `measure` per `kind` may have."""
    sign = ("sign",) if measure.unit in SIGN_UNITS else ()
    return tuple(dict.fromkeys((*ALWAYS, *sign, *kind_named(kind).parts, *measure.fact_names)))


def sentence_faults(text: str, places: Iterable[str]) -> list[Fault]:
    """Places in a sentence that nothing fills, braces that are no place, and brackets that are no part."""
    known = list(places)
    places_in_text = list(dict.fromkeys(PLACE.findall(text)))
    faults = [
        Fault((), f"{{{name}}} is not known here{did_you_mean(name, known)}")
        for name in dict.fromkeys(name for name, _ in places_in_text)
        if name not in known
    ]
    faults += [
        Fault((), f'{{{name}{forms}}}: give the word for one and for more, such as "{{cows|cow|cows}}"')
        for name, forms in places_in_text
        if forms.count("|") == 1
    ]
    if re.search(r"[{}]", PLACE.sub("", text)):
        faults.append(Fault((), "a brace must enclose one of the names to fill in, such as {value}"))
    bare = PART.sub("", text)
    if re.search(r"[][]", bare):
        faults.append(Fault((), "a part in square brackets must be closed, and holds no other part"))
    if any(not PLACE.search(part[1]) for part in PART.finditer(text)):
        faults.append(
            Fault((), "a part in square brackets is for what may be unknown; it needs a place such as {value}")
        )
    return faults


PART = re.compile(r"\[([^\[\]]*)\]")
"""A part of a sentence that is left out, or says something else, where a place in it is not known."""

_BAR = re.compile(r"\|(?![^{]*\})")
"""Between what a part says and what it says otherwise; a bar inside a place is none."""


def as_read(text: str) -> str:
    """A rule's sentence as it reads when everything is known, its places left open.

    >>> as_read("Cow {cow}: {value}[, score {score}][ of {cows|cow|cows}|]")
    'Cow {cow}: {value}, score {score} of {cows} cows'
    """
    whole = PART.sub(lambda part: _BAR.split(part[1])[0], text)
    return PLACE.sub(lambda place: f"{{{place[1]}}} {place[2].split('|')[-1]}".rstrip(), whole)


def places_needed(text: str) -> set[str]:
    """The places of a sentence outside its parts: it can only be said where they are known."""
    return {name for name, _ in PLACE.findall(PART.sub("", text))}


def words_of(rule: Rule, verdict: Verdict, at: int, words: Words) -> dict[str, str]:
    """Every word that may fill the rule's sentences, from what the rule said of a subject at `at`.

    What is not known is left out. A fact whose name ends in `_at` is a moment.
    """
    bound = verdict.facts.get("bound", rule.bound)
    facts = {
        key: words.time(value, at) if key.endswith("_at") and isinstance(value, int) else _fact(value, words)
        for key, value in verdict.facts.items()
    } | {
        "value": value_words(rule, verdict.value, words),
        "bound": value_words(rule, bound, words),
        "since": None if verdict.since is None else words.time(verdict.since, at),
        "sign": words.say(sign) if (sign := strength(rule, verdict.value, bound)) else None,
    }
    known = {key: fact for key, fact in facts.items() if fact}
    return known | said_parts(verdict.subject, words) | {"subject": subject_words(verdict.subject, words)}


def say(rule: Rule, verdict: Verdict, at: int, words: Words) -> str:
    """The rule's sentence about one subject, as it reads at `at` in the farm's language and habits.

    A sentence that the catalogue does not have, such as a farm's own, is said as it is written. One that cannot be
    said without a hole, as a place outside its parts is not known, gives way to whom it is about and how much.
    """
    known = words_of(rule, verdict, at, words)
    sentence = _said(words.say(rule.say), known, words)
    if sentence is None:
        sentence = _said(USUAL, known, words) or known["subject"]
        sentence = sentence[:1].upper() + sentence[1:]
    return sentence


USUAL = "{subject}[: {value}]"
"""What is said where a rule's own sentence would show a hole."""


def look_first(rule: Rule, verdict: Verdict, at: int, words: Words) -> tuple[str, ...]:
    """What to look at first, filled in like the sentence; a line of which nothing is known is left out."""
    return _lines(rule.look_first, rule, verdict, at, words)


def cautions(rule: Rule, verdict: Verdict, at: int, words: Words) -> tuple[str, ...]:
    """What to mind before anything is looked at, filled in likewise."""
    return _lines(rule.caution, rule, verdict, at, words)


def _lines(lines: Iterable[str], rule: Rule, verdict: Verdict, at: int, words: Words) -> tuple[str, ...]:
    known = words_of(rule, verdict, at, words)
    sentence = (_said(words.say(line), known, words, some=True) for line in lines)
    return tuple(line for line in sentence if line is not None)


def _said(text: str, known: Mapping[str, str], words: Words, some: bool = False) -> str | None:
    """A sentence filled in; None if a place outside its parts is not known, or with `some` if all parts fall out."""
    kept = 0

    def part(match: re.Match[str]) -> str:
        nonlocal kept
        for way in _BAR.split(match[1]):
            if all(name in known for name, _ in PLACE.findall(way)):
                kept += 1
                return way
        return ""

    whole = PART.sub(part, text)
    if any(name not in known for name, _ in PLACE.findall(whole)) or (some and not kept and PART.search(text)):
        return None
    return fill(whole, known, form=words.form)


def value_words(rule: Rule, value: Any, words: Words) -> str | None:
    """A value of the rule's measure in its unit, as a person reads it; None if it is not known."""
    if value is None or math.isnan(value):
        return None
    if rule.unit not in UNITS:
        return f"{words.number(float(value), 2)} {rule.unit}".strip()
    return format_quantity(float(value), rule.unit, words)


def _fact(value: Any, words: Words) -> str | None:
    """One figure behind a value, None if it is not known; its unit, if any, is in the sentence."""
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return None
    if isinstance(value, bool):
        return words.say("yes") if value else words.say("no")
    if isinstance(value, int | float):
        return Figure(words.number(float(value), 2), value)
    if isinstance(value, list | tuple):
        return ", ".join(part for one in value if (part := _fact(one, words)))
    return str(rendered(value, words))
