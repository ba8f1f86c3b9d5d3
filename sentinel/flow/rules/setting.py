"""A rule with some keys changed, as `replay --set RULE.KEY=VALUE` asks: read and checked as if the file said so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from copy import deepcopy
from dataclasses import replace
from typing import Any

from sentinel.flow import measures as registry
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Problem, Source
from sentinel.flow.rules.load import load_rule
from sentinel.flow.rules.rule import Rule
from sentinel.flow.yaml.text import Document, read_yaml

Setting = tuple[str, str]
"""A key of a rule and what is written for it."""


def with_settings(
    rule: Rule,
    settings: Iterable[Setting],
    measures: Sequence[Measure] | None = None,
    document: Document | None = None,
) -> tuple[Rule | None, list[Problem]]:
    """The rule with each key written as its value, all of them at once, or what is wrong with that.

    A key may go down by dots: `raise_over`, `options.within`, `classes.0.raise_over`. An empty value takes it out. The
    rule keeps its place in its file; its text ends with a comment that names the changes. `document`: the rule's text
    as `document_of` reads it, for who changes it many times.
    """
    if document is None:
        document, problems = document_of(rule)
        if problems:
            return None, problems
    item = deepcopy(document.data[0])
    given, text = list(settings), rule.text
    for key, value in given:
        problem = _write(item, key, value.strip())
        if problem:
            return None, [Problem(Source(f"{rule.name}.{key}"), problem)]
        text += f"  # set: {key} = {value.strip() or 'nothing'}\n"
    known = {measure.name: measure for measure in (registry.MEASURES if measures is None else measures)}
    changed, problems = load_rule(item, document, 0, known, text)
    if changed is None:
        place = ", ".join(f"{rule.name}.{key}" for key, _ in given)
        return None, [replace(problem, source=Source(place)) for problem in problems]
    return changed.model_copy(update={"source": rule.source}), []


def document_of(rule: Rule) -> tuple[Document, list[Problem]]:
    """A rule's own text as YAML has it; reading it takes longer than all else that is done with it."""
    return read_yaml(rule.text, rule.source.name)


def _write(written: Any, key: str, value: str) -> str:
    """Write one key into a rule as YAML has it; what is wrong with that, or nothing."""
    holder = written
    *way, last = [int(step) if step.isdecimal() else step for step in key.split(".")]
    for step in way:
        try:
            holder = holder[step]
        except (KeyError, IndexError, TypeError):
            return f"the rule has no {step}"
    if not isinstance(holder, dict):
        return "only a key of the rule can be set, for example raise_over"
    if value:
        holder[last] = value
    else:
        holder.pop(last, None)
    return ""
