"""The words of cells: which of ours an export's word is likely to be."""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache

from sentinel.flow.feeds.drafting.lexicon.quarter_names import quarters_in_cells
from sentinel.flow.feeds.drafting.lexicon.vocabulary import CELL_WORDS

SURE = 90
"""From this likeness on, in percent, a word is taken without a question."""


@lru_cache(maxsize=4096)
def our_word(name: str, text: str) -> tuple[str, int]:
    """Our word for an export's word and the confidence in percent, or ("", 0).

    >>> our_word("outcome", "cut short")
    ('incomplete', 100)
    """
    from rapidfuzz import fuzz, process  # noqa: PLC0415  (3 MB, and only a new map needs it)

    best = ("", 0)
    for ours, their_words in CELL_WORDS.get(name, {}).items():
        words = [*their_words.split(";"), ours.lower()]
        if best[1] < CUT and any(_cut_from(text.strip().lower(), word) for word in words):
            best = (ours, CUT)
        # Of a short code every other letter is another word: ARR is no arrêt.
        least = 75 if len(text.strip()) > _SHORT else 100
        match = process.extractOne(text.strip().lower(), words, scorer=fuzz.ratio, score_cutoff=least)
        if match and match[1] > best[1]:
            best = (ours, round(match[1]))
    return best


_SHORT = 4

CUT = 88
"""The likeness of a word that is cut: it is asked for."""


def _cut_from(text: str, word: str) -> bool:
    """Whether a text with points is a word of ours cut short.

    >>> _cut_from("n. angesetzt", "nicht angesetzt"), _cut_from("kamera verschm.", "kamera gereinigt")
    (True, False)
    """
    parts, whole = text.split(), word.split()
    if "." not in text or len(parts) != len(whole):
        return False
    pairs = list(zip(parts, whole, strict=True))
    return all(
        full.startswith(part[:-1]) and part != "." if part.endswith(".") else part == full for part, full in pairs
    ) and len(text) > 3  # fmt: skip


def our_words(name: str, texts: Collection[str]) -> dict[str, tuple[str, int]]:
    """Each of a column's words with ours and the confidence in percent; names of four quarters are told together."""
    if name == "quarter" and (known := quarters_in_cells(texts)):
        return {text: (known[text], 100) for text in texts}
    return {text: our_word(name, text) for text in texts}


def words_known(name: str, texts: Collection[str]) -> float:
    """The share of the cells' words that the vocabulary knows."""
    return sum(bool(our_word(name, text)[0]) for text in texts) / max(len(texts), 1)
