"""Compiles every catalogue for gettext: `python -m sentinel.edges.locales.compile`, after changing one.

What is made is kept beside the catalogue, so that neither an installation nor a start has anything to make. (Babel's
own command takes a text with a per cent sign for one of Python's formats, and complains of it.)
"""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from sentinel.edges.locales import FOLDER

ALWAYS = datetime(2026, 1, 1, tzinfo=UTC)
"""A catalogue's dates, so that the same texts give the same file."""


def catalogues() -> list[Path]:
    """The catalogues, one for a language."""
    return sorted(FOLDER.glob("*/LC_MESSAGES/*.po"))


def compiled(catalogue: Path) -> bytes:
    """What gettext reads of a catalogue."""
    with catalogue.open("rb") as file:
        translations = read_po(file, locale=catalogue.parents[1].name)
    translations.creation_date = translations.revision_date = ALWAYS
    made = BytesIO()
    write_mo(made, translations)
    return made.getvalue()


if __name__ == "__main__":
    for path in catalogues():
        path.with_suffix(".mo").write_bytes(compiled(path))
