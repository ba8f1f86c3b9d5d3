"""Which version of a rule was in force, and which edit brought it, from the settings as they were kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.rules import Rule, load_rules

CHANGED, EDITED = "rules-changed", "rule-edited"
"""The kinds of entry about settings that are used from then on, and about a value that a person wrote into a rule."""

DIGEST = 12
"""So many characters of the hash of a rule's own text name its version."""


@dataclass(frozen=True, slots=True)
class RuleVersion:
    """A rule as it stood: where it is written, a short hash of its own text, and since when it stood so.

    `entry`: the number of the log's entry about the edit that brought it, None if it stood so from the beginning;
    `changes` are the lines of that entry about this rule, `person` and `reason` who made it and why, where that is
    kept.
    """

    place: str
    version: str
    since: int
    entry: int | None = None
    changes: tuple[str, ...] = ()
    person: str = ""
    reason: str = ""


def version_of(text: str) -> str:
    """The short hash of a rule's own text."""
    return hashlib.sha256(text.encode()).hexdigest()[:DIGEST]


def rule_version(rule: Rule, used: Sequence[tuple[int, Mapping[str, str]]], edits: Iterable[Logged]) -> RuleVersion:
    """The version of a rule as the last of some settings has it.

    `used`: the settings' texts and from when they were used, oldest first, up to those in question. `edits`: the log's
    `CHANGED` and `EDITED` entries, in order: an edit made by sentinel itself says who made it and why.
    """
    edits = list(edits)
    name, first = rule.source.name, len(used) - 1
    whole = used[-1][1].get(name)
    for place in range(len(used) - 1, -1, -1):
        text = used[place][1].get(name)
        if text != whole and (text is None or _own_text(text, name, rule.name) != rule.text):
            break
        first, whole = place, text if text is not None else whole
    since = used[first][0]
    changed = (one for one in edits if one.entry.kind == CHANGED and one.entry.at >= since)
    brought = None if first == 0 else next(changed, None)
    if brought is None:
        return RuleVersion(str(rule.source), version_of(rule.text), since)
    body = brought.entry.body
    before = used[first - 1][0]
    own = [one.entry for one in edits if one.entry.kind == EDITED and one.entry.rule == rule.name]
    edit = next((one for one in reversed(own) if before <= one.at <= brought.entry.at), None)
    changes = tuple(line for line in map(str, body.get("changes", ())) if f": {rule.name}" in line)
    return RuleVersion(
        str(rule.source),
        version_of(rule.text),
        brought.entry.at,
        brought.seq,
        changes,
        brought.entry.person if edit is None else edit.person,
        str((body if edit is None else edit.body).get("why", "")),
    )


def _own_text(text: str, file: str, name: str) -> str | None:
    """A rule's own YAML in a file's text; None if it is not in it, or cannot be read."""
    return next((rule.text for rule in load_rules(text, file)[0] if rule.name == name), None)
