"""The page's texts: German is complete, codes have words, times and figures follow the farm's habit."""

import re
from pathlib import Path

import pytest
from babel.messages.extract import extract
from babel.messages.pofile import read_po
from jinja2.ext import babel_extract
from page_farm import AT, InMemory, as_person, browser, notice_link, settings, text_of

from sentinel.edges import page
from sentinel.edges.page.labels import LABELS
from sentinel.edges.page.words import Words
from sentinel.flow.measures import MEASURES
from sentinel.flow.model import ENTRY_KINDS
from sentinel.flow.tables import BOX_LOG, VISITS
from sentinel.flow.views import charts
from sentinel.flow.views.charts.tank import TITLES
from sentinel.flow.views.facts import FACT_WORDS
from sentinel.flow.views.places import PLACES
from sentinel.flow.views.worklist import PARTS
from sentinel.texts import LOCALES, TEXTS

FOLDER = Path(page.__file__).parent
OPTIONS = {"trim_blocks": "true", "lstrip_blocks": "true"}


def texts() -> set[str]:
    """Every text that the page may say, as its templates, modules and words for codes have it."""
    found: set[str] = set()
    for path in FOLDER.glob("templates/*.html"):
        with path.open("rb") as file:
            for _, _, message, _ in babel_extract(file, ("_", "gettext", "ngettext"), [], OPTIONS):
                found.add(message if isinstance(message, str) else message[0])
    for path in (*FOLDER.glob("*.py"), *Path(charts.__file__).parent.glob("*.py")):
        with path.open("rb") as file:
            for _, message, _, _ in extract("python", file, keywords={"say": None, "gettext": None}):
                found.add(str(message))
    found |= set(TITLES.values())
    found |= {word for group in LABELS.values() for word in group.values()}
    found |= {word for words in FACT_WORDS.values() for word in words if word and word != "ratio"}
    return found


def catalogue():
    """The German catalogue by its English texts."""
    with (TEXTS / "de.po").open("rb") as file:
        told = [message for message in read_po(file, locale="de") if message.id]
    return {message.id if isinstance(message.id, str) else message.id[0]: message for message in told}


def test_every_text_of_the_page_has_its_german():
    """A new text without it fails here; add it to sentinel/texts/de.po."""
    german = catalogue()

    assert len(texts()) > 200
    assert sorted(text for text in texts() if text not in german or not german[text].string) == []


def test_the_catalogue_has_nothing_that_the_page_does_not_say():
    """A text that was changed leaves no old one behind."""
    assert sorted(set(catalogue()) - texts()) == []


def test_places_in_a_text_are_the_same_in_german():
    """`%(person)s` in English is `%(person)s` in German; plurals have both forms."""
    for english, message in catalogue().items():
        for german in [message.string] if isinstance(message.string, str) else message.string:
            assert german
            assert set(re.findall(r"%\(\w+\)s", english)) == set(re.findall(r"%\(\w+\)s", german)), english


def test_codes_have_words():
    """Of places, kinds of entry, outcomes and a box's events none is shown as a code."""
    assert set(LABELS["place"]) >= {*PLACES, *PARTS}
    assert set(LABELS["kind"]) >= set(ENTRY_KINDS)
    assert set(LABELS["outcome"]) >= set(VISITS.column("outcome").words)
    assert set(LABELS["event"]) >= set(BOX_LOG.column("event").words)


def test_figures_of_every_measure_have_words():
    """A figure that an alert carries is said in words, except those that the page shows otherwise."""
    from sentinel.flow.views.facts import SHOWN_ELSEWHERE

    told = {name for measure in MEASURES for name in measure.facts}
    assert sorted(told - set(FACT_WORDS) - set(SHOWN_ELSEWHERE)) == []


@pytest.mark.parametrize(
    ("language", "decimal", "number", "time"),
    [
        ("en", ".", "1,234.5", "Sun 10:00"),
        ("en", ",", "1.234,5", "Sun 10:00"),
        ("de", ",", "1.234,5", "So 10:00"),
        ("de", ".", "1’234.5", "So 10:00"),
    ],
)
def test_times_and_figures_follow_the_farms_language_and_decimal_mark(language, decimal, number, time):
    """By Babel's knowledge of a place where both are the habit; clocks have 24 hours."""
    words = Words(language, decimal, "Europe/Berlin")

    assert words.number(1234.5) == number
    assert re.sub(r"[.,]? ", " ", words.time(AT - 86400, AT)) == time
    assert words.time(AT, AT) == "10:00"
    assert (language, decimal) in LOCALES


def test_a_time_says_its_day_and_year_where_they_are_another():
    """Today the clock alone; this week the weekday; else the date."""
    words = Words("en", ".", "UTC")

    assert [words.time(AT - days * 86400, AT) for days in (0, 3, 30, 200)] == [
        "08:00",
        "Fri 08:00",
        "4 Apr 08:00",
        "16 Oct 2025 08:00",
    ]


def test_days_are_written_as_the_language_writes_them():
    """German puts a full stop after the number of a day."""
    told = [Words(language, ",", "UTC") for language in ("en", "de")]

    assert [words.day(AT) for words in told] == ["Monday 4 May", "Montag 4. Mai"]
    assert [words.near(AT) for words in told] == ["Mon 4", "Mo. 4."]
    assert [words.date(AT) for words in told] == ["Mon 4 May", "Mo. 4. Mai"]


def test_spans_are_said_in_the_unit_that_fits():
    """Minutes, hours, days; a minus is a minus."""
    words = Words("de", ",", "UTC")

    assert [words.ago(s) for s in (30, 5400, 9000, 400_000)] == ["0 min", "90 min", "2,5 h", "5 Tage"]
    assert words.number(-1.25, 2) == "−1,25"


def test_the_page_is_in_the_farms_language():
    """All of it: the alert, the list, what is said to an answer, and what is said to a stranger."""
    farm = InMemory(plan=settings("language: de\n"))
    phone = as_person(farm)

    assert '<html lang="de">' in phone.get("/").text
    assert "Jetzt" in phone.get("/").text
    assert "Was hast du gefunden?" in text_of(phone.get("/alert/17").text)
    answered = phone.post(notice_link(), data={"finding": "optics dirty"})
    assert "Danke, Marit. Notiert: optics dirty." in text_of(answered.text)
    assert "Wer bist du?" in text_of(browser(farm).get("/").text)
    assert "Dieser Link öffnet nichts" in text_of(browser(farm).get("/a/cut").text)
