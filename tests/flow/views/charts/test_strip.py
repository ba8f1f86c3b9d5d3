"""The picture of two readings of one history."""

from __future__ import annotations

from xml.etree import ElementTree

from text_tables import moment

from sentinel.flow.replay import Raised
from sentinel.flow.tuning.compare import changes
from sentinel.flow.views.charts.strip import standalone, strip


def late(cow: str, at: str) -> Raised:
    """A cow that is late for an hour."""
    return Raised("late-cow", f"cow:{cow}", moment(at), moment(at) + 3600, "round", None)


def test_a_mark_for_each_alert_and_its_figures_in_words() -> None:
    """One as before, one a quarter of an hour later, one new, one missed; rules without an alert have no line."""
    before, after = [late("7", "06:00"), late("8", "06:00"), late("9", "06:00")], [late("7", "06:00")]
    after += [late("8", "06:15"), late("4", "1d06:00")]
    shown = strip(changes(before, after), ["late-share", "late-cow"], "UTC")
    drawn = ElementTree.fromstring(standalone(shown))

    assert shown.sentences == ("4 alerts in all: 1 new, 1 missed, 0 earlier, 1 later.",)
    words = [one.text for one in drawn.iter("{http://www.w3.org/2000/svg}text")]
    assert "late-cow" in words
    assert "late-share" not in words
    assert "#fff" in drawn.attrib["style"]


def test_of_no_alert_there_is_a_sentence() -> None:
    """Not an empty frame."""
    assert strip([], ["late-cow"], "UTC").sentences == ("No alert in this time.",)
