"""A bound that is tried, drawn on the readings."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np

from sentinel.flow.language import ENGLISH, english
from sentinel.flow.replay import Raised
from sentinel.flow.tuning.compare import Change
from sentinel.flow.tuning.trial import Peaks
from sentinel.flow.views.charts.tried import MOST_DOTS, tried_chart

DAY = 86400


def peaks(values: list[float]) -> Peaks:
    """A reading a day of one cow."""
    return Peaks(np.array(["cow:7"] * len(values), object), np.arange(len(values)) * DAY, np.array(values), True)


def test_both_bounds_and_what_would_change_are_drawn_at_the_readings() -> None:
    """With how many in words; without another bound only the rule's own."""
    new = Change(None, Raised("late-cow", "cow:7", DAY + 60, None, "round", 9.0))
    gone = Change(Raised("late-cow", "cow:7", 60, None, "round", 15.0), None)
    shown = tried_chart(peaks([15, 13, 9]), 14, 12, [new, gone], "h", ENGLISH, 0, 3 * DAY)
    words = [one.text for one in ElementTree.fromstring(shown.svg).iter("{http://www.w3.org/2000/svg}text")]

    assert shown.sentences == ("1 alert would appear, 1 would go.",)
    assert {"as it is", "tried"} <= set(words)
    alone = tried_chart(peaks([15, 13, 9]), 14, 14, [], "h", ENGLISH, 0, 3 * DAY)
    assert ">tried<" not in alone.svg


def test_a_mark_is_at_the_reading_of_its_day_on_the_farms_calendar() -> None:
    """In Auckland noon UTC is the next day: what comes before and after it belongs to two readings."""
    readings = Peaks(np.array(["cow:7"] * 2, object), np.array([10 * 3600, 13 * 3600]), np.array([20.0, 5.0]), True)
    new = [Change(None, Raised("late-cow", "cow:7", hour * 3600, None, "round", 4.5)) for hour in (11, 14)]
    svg = tried_chart(readings, 14, 4, new, "h", english("Pacific/Auckland"), 0, DAY).svg
    drawn, *_ = re.findall(r'<path class="mark" d="([^"]+)" fill="none"', svg)  # and the one of the key
    high, low = (float(y) for y in re.findall(r"M[0-9.]+,([0-9.]+)h", drawn))

    assert low - high > 50  # downwards in a drawing


def test_of_very_many_readings_the_worst_are_drawn() -> None:
    """A page stays light."""
    shown = tried_chart(peaks([float(n) for n in range(5 * MOST_DOTS)]), 14, 14, [], "h", ENGLISH, 0, 9 * DAY)

    assert shown.svg.count("h0") <= MOST_DOTS + 1


def test_without_a_reading_there_is_a_sentence() -> None:
    """Not an empty frame."""
    assert tried_chart(peaks([]), 14, 14, [], "h", ENGLISH, 0, DAY).sentences == ("There is no reading in this time.",)
