"""The items of a JSON list or collection one after the other, so that a large file never lies in memory taken apart."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.reasons import Reason, Unreadable

LONGEST = 1_000_000
"""So many characters one item may have, and all else of a collection together: a visit has a few thousand."""

_BLANK = re.compile(r"[ \t\r\n]*")
_DECODER = json.JSONDecoder()


@dataclass(slots=True)
class Items:
    """The items of a collection: an object whose `member` is their list, or the list itself.

    `rest` is what else the object holds, whole once the items were taken; `listed`: whether there was a list at all.
    """

    text: str
    rest: dict[str, Any] = field(default_factory=dict)
    listed: bool = False
    _at: int = 0
    _base: int = 0
    _window: str = ""

    def __iter__(self) -> Iterator[Any]:
        """Each item; raises Unreadable, also after some of them, or JSONDecodeError where the text is no JSON."""
        self._at = self._past_blanks(0)
        first = self.text[self._at : self._at + 1]
        if first == "[":
            self.listed = True
            yield from self._list()
        elif first == "{":
            yield from self._object()
        else:
            self._value()
        if self._past_blanks(self._at) != len(self.text):
            raise json.JSONDecodeError("Extra data", self.text, self._at)

    def _list(self) -> Iterator[Any]:
        self._at = self._past_blanks(self._at + 1)
        if self._take("]"):
            return
        while True:
            yield self._value()
            if self._take("]"):
                return
            self._expect(",")

    def _object(self) -> Iterator[Any]:
        self._at = self._past_blanks(self._at + 1)
        if self._take("}"):
            return
        room = LONGEST
        while True:
            begin = self._at
            if self.text[begin : begin + 1] != '"':
                raise json.JSONDecodeError("Expecting property name enclosed in double quotes", self.text, begin)
            name = self._value()
            self._expect(":")
            if name == "member" and self.text[self._at : self._at + 1] == "[":
                if self.listed:
                    raise Unreadable(Reason("json-member-twice"))
                self.listed = True
                yield from self._list()
            else:
                self.rest[name] = self._value()
                room -= self._at - begin
            if room < 0:
                raise Unreadable(Reason("json-too-much-besides", n=f"{LONGEST:,}"))
            if self._take("}"):
                return
            self._expect(",")

    def _value(self) -> Any:
        """The value that begins here; what is longer than `LONGEST` is not taken apart."""
        for fresh in (False, True):
            if fresh or not self._window or not self._base <= self._at < self._base + len(self._window):
                self._base, self._window = self._at, self.text[self._at : self._at + LONGEST]
            ends = self._base + len(self._window)
            try:
                value, end = _DECODER.raw_decode(self._window, self._at - self._base)
            except json.JSONDecodeError as error:
                if self._base == self._at:
                    if ends < len(self.text) and error.pos > LONGEST // 2:
                        raise Unreadable(Reason("json-item-too-long", n=f"{LONGEST:,}")) from error
                    raise json.JSONDecodeError(error.msg, self.text, self._base + error.pos) from error
                continue
            if self._base + end < ends or ends == len(self.text) or self._base == self._at:
                break
        self._at = self._past_blanks(self._base + end)
        return value

    def _take(self, mark: str) -> bool:
        """Whether that mark stands here; if so, what comes after it is next."""
        if self.text[self._at : self._at + 1] != mark:
            return False
        self._at = self._past_blanks(self._at + 1)
        return True

    def _expect(self, mark: str) -> None:
        if not self._take(mark):
            raise json.JSONDecodeError(f"Expecting '{mark}' delimiter", self.text, self._at)

    def _past_blanks(self, at: int) -> int:
        match = _BLANK.match(self.text, at)
        assert match is not None
        return match.end()
