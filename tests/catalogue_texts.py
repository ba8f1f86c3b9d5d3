"""What a catalogue has a text for, read from its source."""

from __future__ import annotations

from functools import cache

from babel.messages.pofile import read_po

from sentinel.edges.locales import DOMAIN, FOLDER


@cache
def texts_in(language: str) -> frozenset[str]:
    """The English of every text that has one in a language; of a counted one both its forms."""
    with (FOLDER / language / "LC_MESSAGES" / f"{DOMAIN}.po").open("rb") as file:
        found = read_po(file, locale=language)
    told = (one.id if isinstance(one.id, tuple) else (one.id,) for one in found if one.string and one.id)
    return frozenset(text for texts in told for text in texts)
