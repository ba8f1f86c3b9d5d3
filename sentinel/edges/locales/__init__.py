"""Everything a person reads, in the farm's language: one catalogue per language, with the English as its key.

English is what the code and the rules say. A catalogue lies where gettext looks for it, `de/LC_MESSAGES/sentinel.po`;
beside it lies what Babel makes of it (`compile.py`) and the standard library reads.
"""

from __future__ import annotations

import gettext
from pathlib import Path

from sentinel.flow.language import HABITS, Words, english
from sentinel.flow.settings.farm import Farm

FOLDER = Path(__file__).parent
DOMAIN = "sentinel"


def catalogue(language: str) -> gettext.NullTranslations:
    """The texts of a language; of one that has no catalogue, and what a catalogue lacks, in English."""
    return gettext.translation(DOMAIN, FOLDER, [language], fallback=True)


def words_of(farm: Farm) -> Words:
    """The words in which a farm is told things. English is said as the code has it."""
    return words_in(farm.language, farm.decimal, farm.zone)


def words_in(language: str, decimal: str, zone: str) -> Words:
    """The same by the code of the language, the decimal mark and the zone."""
    if language == "en":
        return english(zone, decimal)
    return Words(zone, HABITS[language, decimal], catalogue(language))
