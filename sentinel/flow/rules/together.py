"""What only shows when all rules are read together: names used twice, and rules that cover each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sentinel.flow.model import Problem, Source
from sentinel.flow.rules.rule import Rule
from sentinel.flow.yaml.text import did_you_mean

MOST_RULES = 500
"""So many rules may a farm have."""


def check_together(rules: Sequence[Rule]) -> list[Problem]:
    """Problems among rules of all files: the same name twice, an unknown cover, a ring of covers."""
    problems: list[Problem] = []
    if len(rules) > MOST_RULES:
        sentence = f"there are {len(rules):,} rules in all files; at most {MOST_RULES} are allowed; take some out"
        return [Problem(rules[MOST_RULES].source, sentence)]
    first: dict[str, Rule] = {}
    for rule in rules:
        if rule.name in first:
            sentence = (
                f"rule: {rule.name} is already the name of the rule at {first[rule.name].source}; give it another"
            )
            problems.append(Problem(rule.source, sentence))
        first.setdefault(rule.name, rule)
    for rule in first.values():
        for cover in rule.covered_by:
            if cover not in first:
                sentence = f'covered_by: "{cover}" is not a rule{did_you_mean(cover, first)}'
                problems.append(Problem(place_of(rule, "covered_by"), sentence))
        ring = _ring(rule.name, first)
        if ring:
            sentence = f"covered_by: {' is covered by '.join(ring)}: then nobody would be told; take one out"
            problems.append(Problem(place_of(rule, "covered_by"), sentence))
    return sorted(problems)


def place_of(rule: Rule, key: str) -> Source:
    """Where a key of a rule stands in its file; if it is not written there, where the rule begins."""
    for offset, line in enumerate(rule.text.splitlines()):
        if line.removeprefix("- ").strip().startswith(f"{key}:"):
            return Source(rule.source.name, rule.source.line + offset, line.index(key) + 1)
    return rule.source


def _ring(name: str, rules: Mapping[str, Rule]) -> list[str]:
    """The shortest way from a rule over its covers back to itself, or nothing."""
    ways = [[name]]
    seen: set[str] = set()
    while ways:
        way = ways.pop(0)
        for cover in rules[way[-1]].covered_by if way[-1] in rules else ():
            if cover == name:
                return [*way, name]
            if cover not in seen:
                seen.add(cover)
                ways.append([*way, cover])
    return []
