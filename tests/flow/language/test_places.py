"""The places of a text: what is filled in stands as it is, and counted words have their forms."""

from __future__ import annotations

from sentinel.flow.language import Figure, Said, english, fill, told


def test_what_stands_in_a_place_is_not_filled_again() -> None:
    """A cow or an export may be called as it likes."""
    assert Said("cow {cow}", cow="{n}") == "cow {n}"
    assert told(english(), "{a} {b}", a="{b}", b="x") == "{b} x"
    assert fill("{gone}", {}, "nicht bekannt") == "nicht bekannt"


def test_a_counted_word_has_the_form_of_its_number() -> None:
    """Also where the number is a figure as the farm writes it; what is no whole number reads as several do."""
    text = "{n|alert|alerts}"

    assert [fill(text, {"n": n}) for n in (0, 1, 2, 1.0)] == ["0 alerts", "1 alert", "2 alerts", "1.0 alert"]
    assert fill(text, {"n": Figure("1.234", 1234)}) == "1.234 alerts"
    assert fill(text, {"n": "1"}) == "1 alert"
    assert fill(text, {"n": 1.5}) == "1.5 alerts"
    assert fill(text, {}) == "not known alerts"


def test_a_language_may_have_more_forms_or_fewer() -> None:
    """With fewer the last one is taken."""
    three = "{n|samica|samice|samic}"

    assert [fill(three, {"n": n}, form=lambda n: 0 if n == 1 else 1 if n < 5 else 2) for n in (1, 2, 5)] == [
        "1 samica", "2 samice", "5 samic",
    ]  # fmt: skip
    assert fill("{n|Tier}", {"n": 3}) == "3 Tier"
