"""One German word for one thing: those that were given up stay out of the catalogue."""

from __future__ import annotations

import re

import pytest
from whole.texts.english import catalogue

GIVEN_UP = {
    r"Handgriff\w*": "Aufgabe",
    r"\w*[Ff]ühler\w*": "Sensor",
    r"[Mm]iss?l[uai]ng\w*|[Mm]isslung\w*": "nicht angesetzt",
    r"Fehlschl[aä]g\w*": "Fehlversuch",
    r"Runden?": "Rundgang",
    r"in Milch": "melkend",
    r"Tage? in Milch": "Melktage",
    r"(?<!Melk)Becher": "Melkbecher",
    r"(steht|stehen|ansteh\w*|ansteht)( noch)? an\b|anstehend\w*": "offen",
    r"Zitzenstellung\w*": "Zitzenposition",
    r"dem Üblichen": "sonst",
    r"war schuld": "defekt, fehlerhaft",
    r"Weidedraht\w*": "Weidezaun",
}
"""Words that say what another word says already, and which that is."""


@pytest.mark.parametrize("pattern", GIVEN_UP)
def test_a_thing_has_one_word(pattern: str) -> None:
    """As a milker says it; whoever writes a new text finds here which word that is."""
    found = [german for _, german in catalogue() if re.search(rf"(?<!\w)(?:{pattern})(?!\w)", german)]

    assert found == [], f"here it is called: {GIVEN_UP[pattern]}"
