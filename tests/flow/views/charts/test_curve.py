"""The picture of many bounds tried."""

from __future__ import annotations

from xml.etree import ElementTree

from sentinel.flow.replay import Raised
from sentinel.flow.rules import Rule
from sentinel.flow.tuning.episodes import Episode
from sentinel.flow.tuning.sweep import Tried
from sentinel.flow.views.charts.curve import curve
from sentinel.flow.views.charts.strip import standalone

RULE = Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", raise_over=14)
REAL = Episode("cow:7", 0, 60, "real")


def bound(*settings: tuple[str, str], alerts: int = 3, missed: bool = False) -> Tried:
    """A bound with so many alerts, one of them real."""
    raised = tuple(Raised("late-cow", "cow:7", n, n + 1, "round", None) for n in range(alerts))
    return Tried(settings, RULE, raised, 1, () if missed else (REAL,), 0, None)


def words(svg: str) -> list[str | None]:
    """What is written in a drawing."""
    return [one.text for one in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]


def test_its_own_bound_the_scales_and_what_misses_are_drawn() -> None:
    """With the figures in words."""
    shown = curve(
        RULE, [bound(("raise_over", "12 h"), alerts=9), bound(("raise_over", "16 h"), missed=True)], bound(), 1.5
    )

    assert shown.sentences == ("raise_over from 12 h to 16 h: 2 values; as it is 2.0 alerts a week.",)
    assert {"as it is", "a week", "% something found", "12 h", "16 h"} <= set(words(standalone(shown)))


def test_a_second_key_has_a_line_for_each_value() -> None:
    """Named at its end; what only moved along is no second key."""
    tried = [
        bound(("raise_over", over), ("lasting", lasting)) for over in ("12 h", "16 h") for lasting in ("0 s", "60 s")
    ]
    alone = [bound(("raise_over", "12 h")), bound(("raise_over", "20 h"), ("now_over", "25 h"))]

    assert {"0 s", "60 s"} <= set(words(curve(RULE, tried, bound(), 1).svg))
    assert "25 h" not in words(curve(RULE, alone, bound(), 1).svg)


def test_a_length_of_time_has_its_own_value_drawn_too() -> None:
    """The rule waits ten minutes, between the two that are tried."""
    waits = RULE.model_copy(update={"lasting_s": 600})
    tried = [bound(("lasting", "60 s")), bound(("lasting", "3600 s"))]

    assert "as it is" in words(curve(waits, tried, bound(), 1).svg)


def test_a_cross_is_where_a_bound_misses_what_the_rule_as_it_is_raises() -> None:
    """What the rule as it is does not raise either is not missed."""
    high = [bound(("raise_over", "16 h"), missed=True)]
    crossed, plain = (curve(RULE, high, now, 1).svg for now in (bound(), bound(missed=True)))

    assert len(crossed) > len(plain)


def test_of_nothing_there_is_a_sentence() -> None:
    """Not an empty frame."""
    assert curve(RULE, [], bound(), 1).sentences == ("No value could be tried.",)
