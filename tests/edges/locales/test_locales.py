"""The catalogues as they are read: what is kept beside each is what is made of it, and every text of it can be said."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po

from sentinel.edges.locales import catalogue, words_in
from sentinel.edges.locales.compile import catalogues, compiled

each = pytest.mark.parametrize("path", catalogues(), ids=lambda path: path.parents[1].name)


@each
def test_what_is_read_is_what_the_catalogue_says(path: Path) -> None:
    """After a change of it: `python -m sentinel.edges.locales.compile`."""
    made, kept = (
        sorted((str(one.context), str(one.id), one.string) for one in read_mo(BytesIO(read)) if one.id)
        for read in (compiled(path), path.with_suffix(".mo").read_bytes())
    )

    assert len(made) > 600
    assert kept == made
    assert compiled(path) == compiled(path)


@each
def test_every_text_of_the_catalogue_can_be_said(path: Path) -> None:
    """Those that have a form for one and for more as well, also of one thing alone; of two meanings each."""
    language = path.parents[1].name
    words, texts = words_in(language, ",", "UTC"), catalogue(language)
    with path.open("rb") as file:
        for message in read_po(file, locale=language):
            if message.context:
                assert texts.pgettext(message.context, message.id) == message.string
            elif isinstance(message.id, tuple):
                assert {words.several(*message.id, n) for n in range(200)} == set(message.string)
                assert words.say(message.id[0]) == words.several(*message.id, 1)
            elif message.id:
                assert words.say(message.id) == message.string


def test_a_catalogue_says_plurals_and_words_of_two_meanings_as_its_file_has_them() -> None:
    """Which form belongs to a number stands in the file, as languages have one, two or more of them.

    A word that means two things in English may have two Germans. What the catalogue lacks is said in English, and so is
    everything in a language that has none.
    """
    german = catalogue("de")

    assert [german.ngettext("failure", "failures", n) for n in (0, 1, 2)] == [
        "Fehlversuche",
        "Fehlversuch",
        "Fehlversuche",
    ]
    assert [words_in("de", ",", "UTC").form(n) for n in (0, 1, 2)] == [1, 0, 1]
    assert german.pgettext("export", "behind") == "im Rückstand" != german.gettext("behind")
    assert [german.ngettext("no such", "no suches", n) for n in (1, 2)] == ["no such", "no suches"]
    assert [catalogue("en").ngettext("failure", "failures", n) for n in (0, 1, 2)] == [
        "failures",
        "failure",
        "failures",
    ]


def test_no_text_is_no_text_in_any_language() -> None:
    """A catalogue keeps its own head under the empty text."""
    assert words_in("de", ",", "Europe/Berlin").say("") == ""
