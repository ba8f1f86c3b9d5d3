"""The places of a text: what is filled in stands as it is, and counted words have their forms."""

from __future__ import annotations

from sentinel.flow.language import Said, english, fill, told


def test_what_stands_in_a_place_is_not_filled_again() -> None:
    """A cow or an export may be called as it likes."""
    assert Said("cow {cow}", cow="{n}") == "cow {n}"
    assert told(english(), "{a} {b}", a="{b}", b="x") == "{b} x"
    assert fill("{gone}", {}, "nicht bekannt") == "nicht bekannt"
