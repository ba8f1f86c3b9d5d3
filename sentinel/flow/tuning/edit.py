"""One value of a rule written into its file: every other byte stays as it was, comments, order and line ends too.

ruamel.yaml says where the value stands in the text; it never writes the file, as that would lay it out anew.
"""

from __future__ import annotations

import difflib
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from sentinel.flow.rules import Setting, load_rules
from sentinel.flow.rules.rule import Rule

_PLAIN = re.compile(r"[0-9A-Za-z.,/% °µ²+-]+")
"""What a value may hold: a figure with its unit."""

BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class Edit:
    """A file with one value changed: `before` and `after` are that value, `rule` what the file then says.

    `diff`: what changed, line by line, as people read it.
    """

    text: str
    before: str
    after: str
    rule: Rule
    diff: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A value that may be written: the file as it is and as it would be, and the examples that then fail, with how.

    `undoes`: the number of the edit in the log that it puts back, 0 if it is a new one.
    """

    name: str
    key: str
    on_disk: str
    edit: Edit
    failing: Sequence[str]
    undoes: int = 0


class CannotWrite(ValueError):
    """Why a value cannot be written, in a sentence."""


def edited(text: str, name: str, rule: str, setting: Setting) -> Edit:
    """The text of a rules file, as it is on disk, with one key of one rule written anew.

    Raises CannotWrite if the key does not stand there as a plain value, or the rules are then not whole.
    """
    key, value = setting[0], setting[1].strip()
    if not _PLAIN.fullmatch(value):
        raise CannotWrite(f"{value!r} is not a figure with its unit")
    begin, end, before = _place(text, rule, key)
    quote = text[begin] if text[begin : begin + 1] in ("'", '"') else ""
    after = f"{text[:begin]}{quote}{value}{quote}{text[end:]}"
    rules, problems = load_rules(_as_read(after), name)
    if problems:
        raise CannotWrite(str(problems[0].message))
    [changed] = [one for one in rules if one.name == rule]
    was, now = (_as_read(one).splitlines() for one in (text, after))
    return Edit(after, before, value, changed, tuple(difflib.unified_diff(was, now, name, name, n=1, lineterm="")))


def _as_read(text: str) -> str:
    """The text as settings are read: without a mark at its beginning, its line ends alike."""
    return text.removeprefix(BOM).replace("\r\n", "\n").replace("\r", "\n")


def _place(text: str, rule: str, key: str) -> tuple[int, int, str]:
    """Where the value of a rule's key begins and ends in the text, and what it is."""
    shift = len(BOM) if text.startswith(BOM) else 0
    try:
        top = YAML().compose(io.StringIO(text[shift:]))
    except YAMLError as error:
        raise CannotWrite("the file is not whole; `sentinel check` says what is wrong with it") from error
    items = top.value if isinstance(top, SequenceNode) else []
    node: Node | None = next((one for one in items if _scalar(_of(one, "rule")) == rule), None)
    if node is None:
        raise CannotWrite(f"{rule} does not stand in this file")
    for step in key.split("."):
        node = _of(node, step)
    if not isinstance(node, ScalarNode) or node.style not in (None, "'", '"'):
        raise CannotWrite(f"{key} is not written in the file; write it there once by hand")
    begin, end = node.start_mark.index + shift, node.end_mark.index + shift
    if node.anchor or f"*{node.anchor}" in text:
        raise CannotWrite(f"{key} is written once for several places; change it by hand")
    return begin, end, str(node.value)


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
