"""How a farm says things: texts, figures and moments, in English where no other language is given."""

from __future__ import annotations

from gettext import NullTranslations

import pytest
from text_tables import moment

from sentinel.flow.language import Words, english, shown_time, told

NOON = moment("12:00")  # 3 June 2024, a Monday


@pytest.mark.parametrize(
    ("then", "zone", "said"),
    [
        ("06:30", "UTC", "06:30"),
        ("06:30", "Europe/Berlin", "08:30"),
        ("23:30", "Europe/Berlin", "Tue 01:30"),
        ("-1d06:30", "UTC", "Sun 06:30"),
        ("-6d06:30", "UTC", "Tue 06:30"),
        ("-7d06:30", "UTC", "27 May 06:30"),
        ("-160d06:30", "UTC", "26 Dec 2023 06:30"),
        ("1d06:30", "UTC", "Tue 06:30"),
    ],
)
def test_a_moment_is_said_as_short_as_it_is_clear(then: str, zone: str, said: str) -> None:
    """On the farm's clock: today the time, this week the day with it, before that the date, with another year's."""
    assert english(zone).time(moment(then), NOON) == said
    assert shown_time(moment(then), NOON, zone) == said


def test_a_day_is_named_by_the_farms_clock() -> None:
    """Late in the evening UTC it is tomorrow already."""
    assert english().date(moment("23:30")) == "Mon 3 Jun"
    assert english("Europe/Berlin").date(moment("23:30")) == "Tue 4 Jun"


class Shouting(NullTranslations):
    """A catalogue that says all it knows aloud; it knows how many, and has three forms of a counted word."""

    def gettext(self, message: str) -> str:
        """A text aloud, unless it is only there in numbers."""
        return message if message == "alert" else message.upper()

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The form for so many."""
        if (msgid1, msgid2) == ("0", "1"):
            return "0" if n == 1 else "1" if n < 5 else "2"
        return "ONE ALERT" if n == 1 else "ALERTS"


def test_a_catalogue_says_texts_before_their_places_are_filled() -> None:
    """What is filled in stays as it is, and a counted word has the form of the language."""
    loud = Words(texts=Shouting())

    assert told(loud, "not milked") == "NOT MILKED"
    assert loud.say("alert") == "ONE ALERT"
    assert loud.several("alert", "alerts", 3) == "ALERTS"
    assert [loud.form(n) for n in (1, 2, 5)] == [0, 1, 2]
    assert [english().form(n) for n in (0, 1, 2)] == [1, 0, 1]
