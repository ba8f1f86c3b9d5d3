"""Sentences that measures put together: English at first, and said again in the farm's language where they are told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date as Day
from functools import lru_cache
from typing import Any

from sentinel.flow.language.places import fill
from sentinel.flow.language.words import ENGLISH, Words


class Said(str):
    """A sentence in English that remembers what it was put together from, so that it can be said in any language.

    A measure says its facts so: it knows no language, and most of what it says nobody asks for. The places are filled
    with figures as text, names, further sentences and, in the place `day`, a day. It is an ordinary text until
    `rendered` says it anew.

    >>> Said("cow {cow} failed {n} times", cow="217", n=3)
    'cow 217 failed 3 times'
    """

    __slots__ = ("template", "values")
    template: str
    values: Mapping[str, object]

    def __new__(cls, template: str, **values: object) -> Said:
        """The English of a text with its places filled in."""
        if values and ("day" in values or "|" in template):
            text = _filled(template, values, ENGLISH)
        else:  # a year has many thousands of these
            text = template.format_map(values) if values else template
        sentence = super().__new__(cls, text)
        sentence.template, sentence.values = template, values
        return sentence


class Later:
    """Something to say that is put together only when it is asked for: of a year's readings nobody asks for most.

    It is equal to what it turns out to be. Whoever takes a reading's facts takes what it is `now`.

    >>> Later(lambda: Said("cow {cow} failed", cow="217")).now()
    'cow 217 failed'
    """

    __slots__ = ("_made", "_make")
    __hash__ = None  # type: ignore[assignment]

    def __init__(self, make: Callable[[], Any]) -> None:
        self._make: Callable[[], Any] | None = make
        self._made: Any = None

    def now(self) -> Any:
        """What there is to say, put together at the first time of asking."""
        if self._make is not None:
            self._made, self._make = self._make(), None
        return self._made

    def __eq__(self, other: object) -> bool:
        return bool(self.now() == (other.now() if isinstance(other, Later) else other))

    def __str__(self) -> str:
        return str(self.now())

    __repr__ = __str__


def joined(between: str, parts: Iterable[str]) -> Said:
    """Sentences one after the other, as one."""
    sentences = list(parts)
    template, names = _in_a_row(between, len(sentences))
    return Said(template, **dict(zip(names, sentences, strict=True)))


@lru_cache(maxsize=32)
def _in_a_row(between: str, n: int) -> tuple[str, tuple[str, ...]]:
    """A text of so many places, and their names."""
    names = tuple(f"part{place}" for place in range(n))
    return between.join(f"{{{name}}}" for name in names), names


def rendered(value: Any, words: Words) -> Any:
    """A value with everything in it that was put together by a measure said in the farm's language, as plain text."""
    if isinstance(value, Said):
        return _filled(words.say(value.template), value.values, words)
    if isinstance(value, Day):
        return words.calendar(value)
    if isinstance(value, Mapping):
        return {key: rendered(one, words) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(rendered(one, words) for one in value)
    return value


def _filled(template: str, values: Mapping[str, object], words: Words) -> str:
    return fill(template, {name: rendered(one, words) for name, one in values.items()}, form=words.form)
