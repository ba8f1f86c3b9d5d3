"""English that is left over in what a German farm is told: by words, and by pieces of whole sentences."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from html.parser import HTMLParser

from babel.messages.pofile import read_po

from sentinel.edges.locales.compile import catalogues

SAID_BY = ("aria-label", "alt", "title", "placeholder", "content", "value", "data-kept", "data-waiting", "data-sent")
"""Attributes that a person reads or hears, and those from which the page's script says something."""

SILENT = ("script", "style", "code", "pre")


def words_in(text: str) -> set[str]:
    """The words of a text in small letters; what is written together, such as a file's or a rule's name, is none."""
    text = text.replace("\N{SOFT HYPHEN}", "")
    return {word.lower() for word in re.findall(r"(?<![\w.{-])[^\W\d_]{2,}(?![\w}-]|\.\w)", text)}


@cache
def catalogue() -> tuple[tuple[str, str], ...]:
    """Every text in English and in German, each form by itself."""
    [path] = catalogues()
    found = []
    with path.open("rb") as file:
        for message in read_po(file, locale="de"):
            english, german = (
                [texts] if isinstance(texts, str) else list(texts) for texts in (message.id, message.string)
            )
            found += list(zip(english, german, strict=False))
    return tuple(found)


@cache
def english_only() -> frozenset[str]:
    """Words that the catalogue has in English and never in German."""
    english, german = (set[str]().union(*(words_in(pair[n]) for pair in catalogue())) for n in (0, 1))
    return frozenset(english - german)


@cache
def english_pieces() -> frozenset[str]:
    """Stretches of two words or more of the English texts, between their places, that no German text has."""
    german = "\n".join(pair[1] for pair in catalogue()).lower()
    pieces = {
        piece.strip(" .,;:()").lower()
        for english, _ in catalogue()
        for piece in re.split(r"\{[^{}]*\}|[\[\]|\n]", english)
    }
    return frozenset(piece for piece in pieces if len(words_in(piece)) > 1 and piece not in german)


def left_over(texts: Iterable[str], names: Iterable[str] = ()) -> set[str]:
    """What of some texts is English: words and pieces of sentences; `names` are words that are the farm's own."""
    told = list(texts)
    words = set[str]().union(*(words_in(text) for text in told)) & english_only() - set(names)
    plain = "\n".join(told).lower().replace("\N{NO-BREAK SPACE}", " ")
    near = (piece for piece in english_pieces() if piece in plain)  # which is quick, and a word's part is none
    pieces = {piece for piece in near if re.search(rf"(?<!\w){re.escape(piece)}(?!\w)", plain)}
    return words | {piece for piece in pieces if not words_in(piece) <= set(names)}


class Said(HTMLParser):
    """The texts of a page, and those of its attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take what the attributes say; a form's hidden fields and what a button sends are the program's."""
        self.silent += tag in SILENT
        given = dict(attrs)
        skipped = {"value"} if tag in ("button", "option") or given.get("type") == "hidden" else set()
        skipped |= {"content"} if given.get("name") != "description" else set()
        self.texts += [given[name] or "" for name in SAID_BY if name in given and name not in skipped]

    def handle_endtag(self, tag: str) -> None:
        """Listen again."""
        self.silent -= tag in SILENT

    def handle_data(self, data: str) -> None:
        """Take what stands there."""
        if not self.silent and data.strip():
            self.texts.append(" ".join(data.split()))


def said_on(html: str) -> Iterator[str]:
    """What a person reads or hears of a page."""
    page = Said()
    page.feed(html)
    return iter(page.texts)
