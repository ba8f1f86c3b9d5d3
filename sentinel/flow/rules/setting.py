"""A rule with one key changed, as `replay --set RULE.KEY=VALUE` asks: read and checked as if the file said so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sentinel.flow import measures as registry
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Problem, Source
from sentinel.flow.rules.load import load_rule
from sentinel.flow.rules.rule import Rule
from sentinel.flow.yaml.text import read_yaml


def with_setting(
    rule: Rule, key: str, value: str, measures: Sequence[Measure] | None = None
) -> tuple[Rule | None, list[Problem]]:
    """The rule with `key` written as `value`, or what is wrong with that.

    `key` may go down by dots: `raise_over`, `options.within`, `classes.0.raise_over`. An empty value takes the key
    out. The rule keeps its place in its file; its text ends with a comment that names the change.
    """
    document, problems = read_yaml(rule.text, rule.source.name)
    if problems:
        return None, problems
    place = f"{rule.name}.{key}"
    holder: Any = document.data[0]
    *way, last = [int(step) if step.isdecimal() else step for step in key.split(".")]
    for step in way:
        try:
            holder = holder[step]
        except (KeyError, IndexError, TypeError):
            return None, [Problem(Source(place), f"the rule has no {step}")]
    if not isinstance(holder, dict):
        return None, [Problem(Source(place), "only a key of the rule can be set, for example raise_over")]
    if value.strip():
        holder[last] = value.strip()
    else:
        holder.pop(last, None)
    known = {measure.name: measure for measure in (registry.MEASURES if measures is None else measures)}
    text = f"{rule.text}  # set: {key} = {value.strip() or 'nothing'}\n"
    changed, problems = load_rule(document.data[0], document, 0, known, text)
    if changed is None:
        return None, [replace(problem, source=Source(place)) for problem in problems]
    return changed.model_copy(update={"source": rule.source}), []
