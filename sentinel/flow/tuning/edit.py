"""Values of a rule written into its file: every other byte stays as it was, comments, order and line ends too.

ruamel.yaml says where a value stands in the text; it never writes the file, as that would lay it out anew.
"""

from __future__ import annotations

import difflib
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.reasons import Reason, Unreadable, as_said
from sentinel.flow.rules import Setting, load_rules
from sentinel.flow.rules.rule import Rule
from sentinel.flow.rules.written import BOUNDS
from sentinel.flow.tuning.values import DURATIONS, unit_of

_PLAIN = re.compile(r"[0-9A-Za-z.,/% °µ²+-]+")
"""What a value may hold: a figure with its unit."""

BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class Changed:
    """One key of a rule with what its file said and says then."""

    key: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Edit:
    """A file with some values of one rule changed, together, and what the rule then is.

    `diff`: what changed, line by line, as people read it.
    """

    text: str
    changes: tuple[Changed, ...]
    rule: Rule
    diff: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Prepared:
    """Values that may be written: the file as it is and as it would be, and the examples that then fail, with how.

    `undoes`: the number of the edit in the log that it puts back, 0 if it is a new one.
    """

    name: str
    on_disk: str
    edit: Edit
    failing: Sequence[str]
    undoes: int = 0


class CannotWrite(Unreadable):
    """Why a value cannot be written."""


def edited(text: str, name: str, rule: Rule, settings: Sequence[Setting], seen: Sequence[str] | None = None) -> Edit:
    """The text of a rules file, as it is on disk, with some keys of one rule written anew, all of them at once.

    `seen`: what each key was when somebody decided it. Raises CannotWrite for a key that is no bound and no length of
    time or does not stand there as a plain value, where the file says something else by now or says the same already,
    and if the rules are then not whole.
    """
    given = {key: value.strip() for key, value in settings}
    for key, value in given.items():
        _check(rule, key, value)
    node = _rule_in(text, rule.name)
    places = {key: _place(text, node, key) for key in given}
    for key, before in zip(given, seen or (), strict=False):
        if places[key][2] != before:
            raise CannotWrite(Reason("changed-meanwhile", key=key, before=before, now=places[key][2]))
    after = text
    for key, (begin, end, _) in sorted(places.items(), key=lambda one: -one[1][0]):
        quote = text[begin] if text[begin : begin + 1] in ("'", '"') else ""
        after = f"{after[:begin]}{quote}{given[key]}{quote}{after[end:]}"
    changed, problem = _rule_of(after, name, rule.name)
    if changed is None:
        raise CannotWrite(as_said(problem) if problem else Reason("rule-not-in-file", rule=rule.name))
    as_it_is, _ = _rule_of(text, name, rule.name)
    if as_it_is is not None and _says(changed) == _says(as_it_is):
        raise CannotWrite(Reason("said-already", what=", ".join(f"{key} {value}" for key, value in given.items())))
    was, now = (_as_read(one).splitlines() for one in (text, after))
    return Edit(
        after,
        tuple(Changed(key, places[key][2], value) for key, value in given.items()),
        changed,
        tuple(difflib.unified_diff(was, now, name, name, n=1, lineterm="")),
    )


def entry_body(what: Prepared, why: str) -> dict[str, Any]:
    """What the log keeps of an edit; what was written along with the first key stands in `along`."""
    first, *along = ({"key": one.key, "before": one.before, "after": one.after} for one in what.edit.changes)
    return {
        "file": what.name,
        **first,
        **({"along": along} if along else {}),
        "why": why,
        "diff": list(what.edit.diff),
        **({"undoes": what.undoes} if what.undoes else {}),
        **({"failing": list(what.failing)} if what.failing else {}),
    }


def changes_in(body: Mapping[str, Any]) -> list[Changed]:
    """What an edit in the log changed."""
    return [
        Changed(str(one["key"]), str(one["before"]), str(one["after"]))
        for one in (body, *body.get("along", ()))
        if one.get("key")
    ]


def undo_of(rule: str, last: Logged | None, number: int | None = None) -> list[Changed]:
    """What puts an edit of a rule back, which must be the `last` one of it in the log; without `number` that one.

    Raises CannotWrite if there is none, if it was put back already, or if the rule was edited again.
    """
    if last is None:
        raise CannotWrite(Reason("nothing-to-undo", rule=rule))
    if last.entry.body.get("undoes"):
        raise CannotWrite(Reason("put-back-already", rule=rule))
    if number not in (None, last.seq):
        raise CannotWrite(Reason("edited-again", rule=rule))
    return [Changed(one.key, one.after, one.before) for one in changes_in(last.entry.body)]


def _check(rule: Rule, key: str, value: str) -> None:
    try:
        unit_of(rule, key)
    except ValueError as error:
        raise CannotWrite(Reason("no-bound", key=repr(key), keys=", ".join((*BOUNDS, *DURATIONS)))) from error
    if not _PLAIN.fullmatch(value):
        raise CannotWrite(Reason("no-figure", value=repr(value)))


def _rule_of(text: str, name: str, rule: str) -> tuple[Rule | None, str]:
    """A rule as a file's text has it; or what is wrong in the file."""
    rules, problems = load_rules(_as_read(text), name)
    if problems:
        return None, str(problems[0].message)
    return next((one for one in rules if one.name == rule), None), ""


def _says(rule: Rule) -> dict[str, Any]:
    """What a rule comes to, however it is written."""
    return rule.model_dump(exclude={"text", "source"})


def _as_read(text: str) -> str:
    """The text as settings are read: without a mark at its beginning, its line ends alike."""
    return text.removeprefix(BOM).replace("\r\n", "\n").replace("\r", "\n")


def _rule_in(text: str, rule: str) -> Node:
    """Where a rule stands in the text."""
    try:
        top = YAML().compose(io.StringIO(text.removeprefix(BOM)))
    except YAMLError as error:
        raise CannotWrite(Reason("file-not-whole")) from error
    items = top.value if isinstance(top, SequenceNode) else []
    node: Node | None = next((one for one in items if _scalar(_of(one, "rule")) == rule), None)
    if node is None:
        raise CannotWrite(Reason("rule-not-in-file", rule=rule))
    return node


def _place(text: str, rule: Node, key: str) -> tuple[int, int, str]:
    """Where the value of a rule's key begins and ends in the text, and what it is."""
    shift = len(BOM) if text.startswith(BOM) else 0
    node: Node | None = rule
    for step in key.split("."):
        node = _of(node, step)
    if not isinstance(node, ScalarNode) or node.style not in (None, "'", '"'):
        raise CannotWrite(Reason("key-not-in-file", key=key))
    if node.anchor:
        raise CannotWrite(Reason("key-shared", key=key))
    return node.start_mark.index + shift, node.end_mark.index + shift, str(node.value)


def _of(node: Node | None, step: str) -> Node | None:
    """The value under a key, or at a place; None if there is none."""
    if isinstance(node, MappingNode):
        return next((value for name, value in node.value if _scalar(name) == step), None)
    if isinstance(node, SequenceNode) and step.isdecimal() and int(step) < len(node.value):
        found: Node = node.value[int(step)]
        return found
    return None


def _scalar(node: Node | None) -> str | None:
    """A plain value as text."""
    return str(node.value) if isinstance(node, ScalarNode) else None
