"""YAML text to plain values and places, in one pass over the parser's events, each of them counted.

What a settings file may cost is bounded before it is built: its length, its values (an alias counts as often as it is
used), how deep they are nested, how long a text and how large a number is. What sentinel has no use for (tags, keys
that are no words, characters that no text has) is refused where it stands.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceStartEvent,
)
from ruamel.yaml.nodes import ScalarNode

MOST_CHARACTERS = 1_000_000
"""So long may a settings file be; the longest that ships has 17,000 characters."""

MOST_VALUES = 20_000
"""So many keys, items and values may a settings file have, those of its aliases counted at each place."""

DEEPEST = 30
"""So deep may lists and maps be nested; rules that ship need five."""

LONGEST_TEXT = 20_000
"""So long may one value be, as characters."""

LARGEST_NUMBER = 2**53
"""Beyond it whole numbers are no longer exact everywhere."""

Place = tuple[int, int]
Steps = tuple[str | int, ...]

_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1b\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
"""Characters that belong in no name and no sentence; the separators 1C to 1F may part a file's columns."""


class NotRead(Exception):
    """Why a text cannot be read, and at which line and column (from 1); caught in this package."""

    def __init__(self, sentence: str, place: Place = (1, 1)) -> None:
        super().__init__(sentence)
        self.place = place


@dataclass(slots=True)
class _Node:
    """One value with where it begins; `keys` are where the keys of a map stand; `size` counts what is in it."""

    data: Any
    place: Place
    keys: dict[str | int, Place] = field(default_factory=dict)
    size: int = 1
    key: _Node | None = None
    anchor: str = ""


def plain(text: str) -> tuple[Any, dict[Steps, Place]]:
    """The values of a YAML text and where each key and item stands; raises NotRead."""
    if len(text) > MOST_CHARACTERS:
        raise NotRead(
            f"this file has {len(text):,} characters; at most {MOST_CHARACTERS:,} are allowed; is it a settings file? "
            "Put back the one that was here, or split it"
        )
    bad = _NO_TEXT.search(text)
    if bad is not None:
        line = text.count("\n", 0, bad.start())
        place = (line + 1, bad.start() - text.rfind("\n", 0, bad.start()))
        raise NotRead(f"here stands a character that is no text (U+{ord(bad[0]):04X}); take it out", place)
    try:
        root = _Builder().build(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        detail = str(error.problem or error.context or "not valid YAML").split("\n")[0]
        raise NotRead(
            f"this is not valid YAML: {detail}", (mark.line + 1, mark.column + 1) if mark else (1, 1)
        ) from None
    except (YAMLError, ValueError, OverflowError, RecursionError) as error:
        detail = str(error).split("\n")[0]
        raise NotRead(f"this is not valid YAML: {detail}") from None
    places: dict[Steps, Place] = {(): (1, 1)}
    if root is None:
        return None, places
    return _spread(root, (), places), places


def _spread(node: _Node, path: Steps, places: dict[Steps, Place]) -> Any:
    """The plain values below a node, each use of an alias by itself; notes their places."""
    if isinstance(node.data, dict):
        places |= {(*path, key): place for key, place in node.keys.items()}
        return {key: _spread(one, (*path, key), places) for key, one in node.data.items()}
    if isinstance(node.data, list):
        places |= {(*path, index): one.place for index, one in enumerate(node.data)}
        return [_spread(one, (*path, index), places) for index, one in enumerate(node.data)]
    return node.data


class _Builder:
    """Builds the nodes of one document; an open list or map lies on a stack, so nothing here recurses."""

    def __init__(self) -> None:
        self.yaml = YAML(typ="safe", pure=True)
        self.stack: list[_Node] = []
        self.anchors: dict[str, _Node] = {}
        self.root: _Node | None = None
        self.count = 0

    def build(self, text: str) -> _Node | None:
        """The root of the text's only document; None if there is none."""
        documents = 0
        for event in self._events(text):
            place = (event.start_mark.line + 1, event.start_mark.column + 1)
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise NotRead("here begins a second document; take out the line ---, or make it a file", place)
            elif isinstance(event, CollectionEndEvent):
                self._close()
            elif not isinstance(event, DocumentEndEvent):
                self._open(event, place)
        return self.root

    def _events(self, text: str) -> Iterator[Any]:
        for event in self.yaml.parse(text):
            if type(event).__name__ not in ("StreamStartEvent", "StreamEndEvent"):
                yield event

    def _open(self, event: Any, place: Place) -> None:
        """A value begins: a word, a number, an alias, a list or a map."""
        self._count(1, place)
        if isinstance(event, AliasEvent):
            known = self.anchors.get(event.anchor)
            if known is None:
                raise NotRead(f"*{_cut(event.anchor)} names nothing that was written before it with &", place)
            self._count(known.size, place)
            self._put(_Node(known.data, place, known.keys, known.size))
            return
        if event.tag is not None and not (event.tag == "!" and isinstance(event, ScalarEvent)):
            raise NotRead(f"a tag ({_cut(event.tag)}) means nothing here; take it out", place)
        node = _Node(None, place, anchor=event.anchor or "")
        if isinstance(event, ScalarEvent):
            node.data = self._scalar(event, place)
            self._named(node)
            self._put(node)
            return
        if self._wants_key():
            raise NotRead("a key is a word or a whole number, not a list or a map", place)
        if len(self.stack) >= DEEPEST:
            raise NotRead(f"lists and maps are nested more than {DEEPEST} deep here; is a bracket left open?", place)
        node.data = {} if isinstance(event, MappingStartEvent) else []
        assert isinstance(event, MappingStartEvent | SequenceStartEvent)
        self.stack.append(node)

    def _close(self) -> None:
        node = self.stack.pop()
        self._named(node)
        self._put(node)

    def _named(self, node: _Node) -> None:
        if node.anchor:
            self.anchors[node.anchor] = node

    def _wants_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].data, dict) and self.stack[-1].key is None

    def _put(self, node: _Node) -> None:
        """A value that is whole goes where it belongs."""
        if not self.stack:
            self.root = node
            return
        holder = self.stack[-1]
        holder.size += node.size
        if isinstance(holder.data, list):
            holder.data.append(node)
            return
        if holder.key is None:
            key = _key(node)
            if key in holder.data:
                first = holder.keys[key][0]
                sentence = f'found duplicate key "{_cut(key)}", which stands in line {first} already'
                raise NotRead(f"this is not valid YAML: {sentence}", node.place)
            node.data = key
            holder.key = node
            return
        holder.data[holder.key.data] = node
        holder.keys[holder.key.data] = holder.key.place
        holder.key = None

    def _count(self, more: int, place: Place) -> None:
        self.count += more
        if self.count > MOST_VALUES:
            sentence = f"this file has more than {MOST_VALUES:,} values up to here, those of its aliases counted"
            raise NotRead(f"{sentence}; is it a settings file? Put back the one that was here, or split it", place)

    def _scalar(self, event: ScalarEvent, place: Place) -> Any:
        value = event.value
        if len(value) > LONGEST_TEXT:
            raise NotRead(f"this value has {len(value):,} characters; at most {LONGEST_TEXT:,} are allowed", place)
        bad = _NO_TEXT.search(value)
        if bad is not None:
            sentence = f"this value holds a character that is no text (U+{ord(bad[0]):04X})"
            raise NotRead(f"{sentence}; take it out", place)
        kind = str(self.yaml.resolver.resolve(ScalarNode, value, event.implicit)).rpartition(":")[2]
        if kind == "null":
            return None
        if kind == "bool":
            return value.lower() == "true"
        if kind == "merge":
            raise NotRead("<< means nothing here; write the keys out", place)
        if kind not in ("int", "float"):
            return value
        if len(value) > 400:
            raise NotRead(f"this number has {len(value):,} digits; if it is a name, write it in quotes", place)
        made = getattr(self.yaml.constructor, f"construct_yaml_{kind}")(ScalarNode("", value))
        if not math.isfinite(made) or (isinstance(made, int) and abs(made) > LARGEST_NUMBER):
            sentence = f"{_cut(value)} is a number that nothing here can have"
            raise NotRead(f"{sentence}; write another one, or in quotes if it is a name", place)
        return made


def _key(node: _Node) -> str | int:
    """A key as it is kept: a whole number as such, anything else as its text."""
    if isinstance(node.data, dict | list):
        raise NotRead("a key is a word or a whole number, not a list or a map", node.place)
    return node.data if isinstance(node.data, int) and not isinstance(node.data, bool) else str(node.data)


def _cut(text: object) -> str:
    shown = str(text)
    return shown if len(shown) <= 60 else shown[:59] + "…"
