"""What a draft asks of a person, and what they answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sentinel.flow.feeds.drafting.guessing.guess import Guesses
from sentinel.flow.feeds.drafting.sample.profile import Source
from sentinel.flow.feeds.values import as_text
from sentinel.flow.visible import visible

Answers = Mapping[str, str]
"""What was answered, by the question's key."""

_SHOWN = 4
_LONGEST = 24


@dataclass(frozen=True, slots=True)
class Question:
    """One question: its key, the sentence, and what can be answered, each with how it is shown.

    `likeliest`: the place of the choice that is taken if nothing is said, None if there is no such; where it is 0 the
    likeliest come first, else the choices stand as they always do. `titles`: other columns, which are answers too;
    `span`: so is a duration.
    """

    key: str
    text: str
    choices: tuple[tuple[str, str], ...]
    likeliest: int | None = 0
    titles: tuple[str, ...] = ()
    span: bool = False


@dataclass(frozen=True, slots=True)
class Drafted:
    """A drafted map and all it asks, those that were answered left out; `trouble` says why there is none. `rows`: where
    the rows are of several kinds, the answers for each, of which the draft is of one."""

    text: str
    questions: tuple[Question, ...] = ()
    trouble: str = ""
    guesses: Guesses | None = None
    rows: tuple[str, ...] = ()


def some_values(source: Source) -> str:
    """A few of a column's cells, for a person to know it by.

    >>> some_values(Source("Milk", ("12,4", "", "9,8", "12,4")))
    '12,4; 9,8'
    """
    texts = list(dict.fromkeys(as_text(cell) for cell in source.cells if as_text(cell)))
    step = max(1, len(texts) // _SHOWN)
    return "; ".join(visible(text)[:_LONGEST] for text in texts[::step][:_SHOWN])


def shown_column(source: Source) -> str:
    """A column with some of its values: `"Milk" (12,4; 9,8)`."""
    return f'"{visible(source.title)}" ({some_values(source) or "empty"})'


def listed(items: Sequence[str]) -> str:
    """Some things a person may choose from.

    >>> listed(["a", "b", "c"])
    'a, b or c'
    """
    return items[0] if len(items) == 1 else ", ".join(items[:-1]) + " or " + items[-1]
