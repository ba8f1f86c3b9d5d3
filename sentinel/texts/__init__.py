"""Everything a person reads, in the farm's language: one catalogue per language, `de.po`, with the English as its key.

English is what the code and the rules say. Babel reads the catalogue as it is and knows how the days, months and
figures of a language are written.
"""

from __future__ import annotations

import gettext
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

from babel.messages.pofile import read_po

TEXTS = Path(__file__).parent

LOCALES = {("en", "."): "en_IE", ("en", ","): "en_DE", ("de", ","): "de_DE", ("de", "."): "de_CH"}
"""A language and the farm's decimal mark, as the place where both are the habit."""


class Catalogue(gettext.NullTranslations):
    """A language's texts, as its .po file has them; what it lacks is said in English."""

    def __init__(self, language: str) -> None:
        super().__init__()
        self._texts: dict[str, Any] = {}
        self._form: Callable[[int], int] = lambda n: int(n != 1)
        path = TEXTS / f"{language}.po"
        if path.is_file():
            with path.open("rb") as file:
                found = read_po(file, locale=language)
            self._form = gettext.c2py(found.plural_expr)
            for message in found:
                key = message.id if isinstance(message.id, str) else message.id[0]
                if key and message.string and not message.fuzzy:
                    self._texts[key] = message.string

    def gettext(self, message: str) -> str:
        """A text in this language."""
        found = self._texts.get(message)
        return message if found is None else found if isinstance(found, str) else found[0]

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The text for one, or for so many, in this language."""
        found = self._texts.get(msgid1)
        if not found or isinstance(found, str):
            return msgid1 if n == 1 else msgid2
        return str(found[self._form(n)])


@lru_cache(maxsize=8)
def catalogue(language: str) -> Catalogue:
    """The texts of a language, read once."""
    return Catalogue(language)
