"""Which values of a rule's keys are tried: a range as people write it, or those around the rule's own bound."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import product

from sentinel.flow.rules import Rule, Setting, parse_quantity, with_settings
from sentinel.flow.rules.quantities import kind_of_unit
from sentinel.flow.rules.written import BOUNDS
from sentinel.flow.yaml.text import Document

USUAL_VALUES = 9
"""So many values of a key are tried if nobody says how many."""

MOST_TRIED = 2000
"""So many combinations of values are tried at most."""

_OF_A_RULE = re.compile(r"(classes\.[0-9]+)?")
"""Where a bound stands: in the rule itself, or in one of its classes."""

DURATIONS = ("lasting", "again_within", "over_after")
"""Keys whose values are times, whatever the rule's measure is."""


def unit_of(rule: Rule, key: str) -> str:
    """The unit in which the values of a key are.

    Raises ValueError for a key that is no bound: another setting of a measure gives other readings.
    """
    way, _, last = key.rpartition(".")
    if last in BOUNDS and _OF_A_RULE.fullmatch(way):
        return rule.unit
    if last in DURATIONS and _OF_A_RULE.fullmatch(way):
        return "s"
    raise ValueError(f"{key} cannot be tried in a range; {', '.join((*BOUNDS, *DURATIONS))} can")


def in_range(rule: Rule, text: str, values: int = USUAL_VALUES) -> list[Setting]:
    """The values of `KEY=FROM..TO`, both ends included, evenly apart.

    Raises ValueError, with what would be right, for anything else.
    """
    key, given, ends = text.partition("=")
    first, to, last = ends.partition("..")
    if not (given and to and key.strip()):
        raise ValueError(f"{text}: write it as KEY=FROM..TO, for example raise_over=10 h..18 h")
    unit = unit_of(rule, key.strip())
    begin, end = parse_quantity(first.strip(), unit), parse_quantity(last.strip(), unit)
    if values < 2 or begin >= end:
        raise ValueError(f"{text}: at least two values from a lower to a higher one are wanted")
    return _written(key.strip(), unit, [begin + (end - begin) * n / (values - 1) for n in range(values)])


def around(rule: Rule, values: int = USUAL_VALUES) -> list[Setting]:
    """Values of the rule's raising bound from half of it to twice as much, by steps of the same factor.

    Raises ValueError if that is nothing.
    """
    key = "raise_under" if rule.raise_over is None else "raise_over"
    if not rule.bound:
        raise ValueError(
            f"{rule.name} raises past nothing at all; say what to try, for example {key}=1 ..5 {rule.unit}"
        )
    steps = max(values, 2) - 1
    return _written(key, rule.unit, [rule.bound * 4 ** (n / steps - 0.5) for n in range(steps + 1)])


def _written(key: str, unit: str, values: Iterable[float]) -> list[Setting]:
    """Values as a rule's file has them, each once; a count is whole, another figure has four digits that count."""
    whole = kind_of_unit(unit).startswith("count of ")
    return list(
        dict.fromkeys((key, f"{round(value) if whole else float(f'{value:.4g}'):g} {unit}") for value in values)
    )


def combined(ranges: Sequence[Sequence[Setting]]) -> list[tuple[Setting, ...]]:
    """Every value of each key with every one of the others.

    Raises ValueError if they are too many.
    """
    found = list(product(*ranges))
    if len(found) > MOST_TRIED:
        raise ValueError(f"{len(found)} values at once; at most {MOST_TRIED} are tried")
    return found


def fitted(
    rule: Rule, settings: tuple[Setting, ...], document: Document | None = None
) -> tuple[tuple[Setting, ...], Rule | None, str]:
    """The rule with some keys changed; or why it cannot be.

    Where a raising bound does not fit the rule's own clearing or pressing bound, that moves along by the same factor,
    unless it is tried itself; the settings that are given back name it. `document`: see `with_settings`.
    """
    changed, problems = with_settings(rule, settings, document=document)
    moved = next(((key, text) for key, text in settings if key in ("raise_over", "raise_under")), None)
    if changed is None and moved is not None and rule.bound:
        factor = parse_quantity(moved[1], rule.unit) / rule.bound
        keys = {key for key, _ in settings}
        others = [key for key in BOUNDS if not key.startswith("raise") and key not in keys and getattr(rule, key)]
        along = [one for key in others for one in _written(key, rule.unit, [getattr(rule, key) * factor])]
        for some in (*((one,) for one in along), tuple(along)):
            changed, _ = with_settings(rule, (*settings, *some), document=document)
            if changed is not None:
                return (*settings, *some), changed, ""
    return settings, changed, str(problems[0].message) if changed is None else ""


def own(rule: Rule, key: str) -> float | None:
    """What a rule says of a key itself, in the unit of its values; None if it says nothing."""
    value: float | None = getattr(rule, f"{key}_s" if key in DURATIONS else key, None)
    return value
