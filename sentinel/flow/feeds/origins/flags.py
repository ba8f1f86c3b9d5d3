"""A word that an export gives as flags: a column each that says yes or no, beside a column of words or without one.

The order in which a map names them is their precedence: the first that is set counts. One that cannot be read may have
been set, so what comes after it is not taken for the word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sentinel.flow.feeds.values import Convert, Faults, as_text

_MOST_KNOWN = 10_000


@dataclass(frozen=True, slots=True)
class FlagColumn:
    """A column of flags: the word that it stands for where it is set, and how its cells are read (None: empty)."""

    word: str
    read: Convert


def flagged_column(flags: Sequence[FlagColumn], none_set: Any, beside: Convert | None) -> Convert:
    """Words by flags: each row's cells are those of the flags in their order, then that of the column `beside` them.

    `none_set`: the word where no flag is set, if there is no such column. An empty cell is a flag that is not set.
    """
    known: dict[tuple[str, ...], Any] = {}

    def convert(rows: Sequence[Any], faults: Faults) -> list[Any]:
        return [_one(index, row, faults) for index, row in enumerate(rows)]

    def _one(index: int, row: Sequence[Any], faults: Faults) -> Any:
        texts = tuple([as_text(cell) for cell in row])
        if texts in known:
            return known[texts]
        fault: Faults = {}
        word = _word(row, fault)
        if fault:
            faults.setdefault(index, fault[0])
        elif len(known) < _MOST_KNOWN:
            known[texts] = word
        return word

    def _word(row: Sequence[Any], fault: Faults) -> Any:
        for flag, cell in zip(flags, row, strict=False):
            [is_set] = flag.read([cell], fault)
            if fault:
                return None
            if is_set:
                return flag.word
        return none_set if beside is None else beside([row[-1]], fault)[0]

    return convert
