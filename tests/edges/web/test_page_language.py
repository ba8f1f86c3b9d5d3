"""The page in the farm's language: codes have words, times and figures follow its habit."""

import re

import pytest
from page_farm import AT, InMemory, as_person, browser, notice_link, settings, text_of

from sentinel.edges.web.code_labels import LABELS
from sentinel.edges.web.page_language import PageLanguage
from sentinel.flow.alerts.chain import ENTRY_KINDS
from sentinel.flow.language import HABITS
from sentinel.flow.subjects import PLACES, STOPS
from sentinel.flow.tables import BOX_LOG, VISITS


def test_codes_have_words():
    """Of places, kinds of entry, outcomes and a box's events none is shown as a code."""
    assert set(LABELS["place"]) >= {stop.code for stop in (*STOPS, *PLACES)}
    assert set(LABELS["kind"]) >= set(ENTRY_KINDS)
    assert set(LABELS["outcome"]) >= set(VISITS.column("outcome").words)
    assert set(LABELS["event"]) >= set(BOX_LOG.column("event").words)


def test_what_a_rule_asks_for_has_words_and_a_farms_own_names_stay():
    """A status or a usual chore is said; a group, or a chore that only this farm has, is written as it is."""
    german = PageLanguage("de", ",", "UTC")

    assert [
        german.attribute_value(*pair) for pair in (("status", "withheld"), ("chore", "wash"), ("pace", "daily"))
    ] == [
        "Milch gesperrt",
        "Reinigung",
        "täglich",
    ]
    assert [german.attribute_value(*pair) for pair in (("group", "late-cows"), ("chore", "hoof-bath"))] == [
        "late-cows",
        "hoof-bath",
    ]


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
    words = PageLanguage(language, decimal, "Europe/Berlin")

    assert words.number(1234.5) == number
    assert re.sub(r"[.,]? ", " ", words.time(AT - 86400, AT)) == time
    assert words.time(AT, AT) == "10:00"
    assert (language, decimal) in HABITS


def test_a_time_says_its_day_and_year_where_they_are_another():
    """Today the clock alone; this week the weekday; else the date."""
    words = PageLanguage("en", ".", "UTC")

    assert [words.time(AT - days * 86400, AT) for days in (0, 3, 30, 200)] == [
        "08:00",
        "Fri 08:00",
        "4 Apr 08:00",
        "16 Oct 2025 08:00",
    ]


def test_days_are_written_as_the_language_writes_them():
    """German puts a full stop after the number of a day."""
    told = [PageLanguage(language, ",", "UTC") for language in ("en", "de")]

    assert [words.day(AT) for words in told] == ["Monday 4 May", "Montag 4. Mai"]
    assert [words.near(AT) for words in told] == ["Mon 4", "Mo. 4."]
    assert [words.month_day(AT) for words in told] == ["4 May", "4. Mai"]
    assert [words.date(AT) for words in told] == ["Mon 4 May", "Mo. 4. Mai"]


def test_spans_are_said_in_the_unit_that_fits():
    """Minutes, hours, days; a minus is a minus."""
    words = PageLanguage("de", ",", "UTC")

    assert [words.ago(s) for s in (30, 5400, 9000, 400_000)] == ["0 min", "90 min", "2,5 h", "5 Tage"]
    assert words.number(-1.25, 2) == "−1,25"


def test_the_page_is_in_the_farms_language():
    """All of it: the alert, the list, what is said to an answer, and what is said to a stranger."""
    farm = InMemory(plan=settings("language: de\n"))
    phone = as_person(farm)

    assert '<html lang="de">' in phone.get("/").text
    assert "Jetzt" in phone.get("/").text
    assert "Was hast du gefunden?" in text_of(phone.get("/alert/17").text)
    assert '<button name="finding" value="optics dirty">Optik schmutzig</button>' in phone.get("/alert/17").text
    assert "Beiseitegelegt" in phone.get("/feeds").text
    answered = phone.post(notice_link(), data={"finding": "optics dirty"})
    assert "Danke, Marit. Notiert: Optik schmutzig." in text_of(answered.text)
    assert "Wer bist du?" in text_of(browser(farm).get("/").text)
    assert "Dieser Link öffnet nichts" in text_of(browser(farm).get("/a/cut").text)
