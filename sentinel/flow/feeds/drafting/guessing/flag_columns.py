"""Columns of yes and no that tell how a visit ended: refused, failed, incomplete."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.feeds.drafting.lexicon.flag_titles import flag_word
from sentinel.flow.feeds.drafting.sample.profile import Profile, Source
from sentinel.flow.feeds.values import FLAG_WORDS

ORDER = ("refused", "failed", "incomplete", "milked")
"""In this order flags count: who was sent on was not attached, and what was not attached was not cut short."""


@dataclass(frozen=True, slots=True)
class FlagGuess:
    """A column that may say yes or no to one of our words; `set_word` is what it says where it says yes in words of its
    own, "" where those are known."""

    word: str
    source: Source
    percent: int
    set_word: str = ""


def flag_columns(profiles: Sequence[Profile]) -> tuple[FlagGuess, ...]:
    """The flags of visits among some columns, by their titles and cells, in the order in which they count."""
    found = []
    for one in profiles:
        word, percent = flag_word(one.title)
        if not word or one.shape not in ("text", "number"):
            continue
        texts = {text.casefold() for text in one.filled}
        if texts <= set(FLAG_WORDS):
            found.append(FlagGuess(word, one.source, percent))
        elif len(texts) == 1 and len(one.filled) < len(one.texts):  # a mark, or nothing
            found.append(FlagGuess(word, one.source, min(percent, 80), next(iter(one.filled))))
    return tuple(sorted(found, key=lambda flag: ORDER.index(flag.word)))


def set_together(flags: Sequence[FlagGuess]) -> bool:
    """Whether two flags of different words are set in one row of the sample, so that their order counts."""
    rows = zip(*(_is_set(flag) for flag in flags), strict=True)
    return any(len({flag.word for flag, is_set in zip(flags, row, strict=True) if is_set}) > 1 for row in rows)


def adds(flags: Sequence[FlagGuess], words: Sequence[str]) -> bool:
    """Whether flags say more than a column of words beside them, whose words of ours these are, row by row."""
    for flag in flags:
        pairs = zip(_is_set(flag), words, strict=True)
        if any(is_set and word != flag.word for is_set, word in pairs):
            return True
    return False


def _is_set(flag: FlagGuess) -> list[bool]:
    texts = [str(cell).strip().casefold() for cell in flag.source.cells]
    return [text == flag.set_word.casefold() if flag.set_word else bool(FLAG_WORDS.get(text)) for text in texts]
