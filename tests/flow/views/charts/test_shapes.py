"""Words, lines, bars and marks as SVG: well formed, without colour of their own, and small."""

from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.views.charts.shapes import (
    DASHES,
    bar,
    bars,
    crosses,
    diamonds,
    dots,
    group,
    label,
    line,
    squares,
    strokes,
    triangles,
)

POINTS = [(10.0, 20.0), (30.0, 40.0)]


def part(svg: str) -> ElementTree.Element:
    """A shape as XML."""
    return ElementTree.fromstring(svg)


def test_marks_of_one_kind_are_one_path() -> None:
    """However many, and none are nothing at all."""
    shapes = (dots, squares, crosses, triangles, diamonds, strokes)
    for shape in shapes:
        found = part(shape(POINTS, "mark"))
        assert found.tag == "path"
        assert (found.get("d") or "").count("M") == 2
        assert shape([], "mark") == ""
    assert len({part(shape(POINTS, "mark")).get("d") for shape in shapes}) == len(shapes)


def test_parts_of_a_group_stay_together() -> None:
    """By the name of what they show."""
    found = part(group("milk", bar(0, 0, 1, 1), label(0, 0, "kg")))

    assert (found.tag, found.get("class"), [one.tag for one in found]) == ("g", "milk", ["rect", "text"])


def test_each_kind_of_line_is_told_apart_without_colour() -> None:
    """By how it is dashed; the reader's own colour is drawn with."""
    kinds = ("line-own", "line-other", "limit", "raised")
    dashes = [part(line(POINTS, kind)).get("stroke-dasharray") for kind in kinds]

    assert len(set(dashes)) == 4 and dashes[0] is None
    assert part(line(POINTS, "line-own")).get("points") == "10.0,20.0 30.0,40.0"
    assert {part(line(POINTS, kind)).get("stroke") for kind in DASHES} == {"currentColor"}


def test_a_bar_of_nothing_can_still_be_seen() -> None:
    """As a sliver, in either form."""
    flat = part(bar(0, 0, 0, 0))

    assert (flat.get("width"), flat.get("height")) == ("0.5", "0.5")
    assert part(bars([(10.0, 100.0)], bottom=100)).get("d") == "M10.0,100V99.5"


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cn"]), max_size=20))
def test_a_word_is_only_a_word(text: str) -> None:
    """Whatever a cow is called, it opens nothing and closes nothing."""
    found = part(label(1, 2, text, "middle"))

    assert (found.text or "") == text
    assert len(found) == 0
    assert found.get("text-anchor") == "middle"
