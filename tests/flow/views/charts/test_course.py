"""The strips of the four quarters."""

from __future__ import annotations

from xml.etree import ElementTree

from flow.views.charts.looked_at import SVG

from sentinel.flow.views.charts.course import HIGH, strips
from sentinel.flow.views.parts.udder import QuarterState, Udder


def udder(**courses: tuple[float | None, ...]) -> Udder:
    """An udder with these courses, each with a usual of 5 mS/cm."""
    states = tuple(QuarterState(name, None, 5.0, None, "", None, None, course) for name, course in courses.items())
    return Udder(0, False, states)


def heights(strip: str, kind: str) -> list[float]:
    """How far down each point of a line lies."""
    [line] = [one for one in ElementTree.fromstring(strip).iter(f"{SVG}polyline") if one.get("class") == kind]
    return [float(point.split(",")[1]) for point in (line.get("points") or "").split()]


def test_the_quarters_have_one_scale() -> None:
    """The same figure lies at the same height in each, and a rise of one goes up."""
    shown = strips(udder(LF=(5.0, 5.0, 5.0), RR=(5.0, 6.0, 7.0)))

    assert heights(shown["LF"], "line-own")[0] == heights(shown["RR"], "line-own")[0]
    assert heights(shown["RR"], "line-own") == sorted(heights(shown["RR"], "line-own"), reverse=True)
    assert heights(shown["RR"], "line-own")[-1] >= 0


def test_a_healthy_quarter_looks_flat() -> None:
    """Readings that differ by a few hundredths of a mS/cm stay within a tenth of the strip."""
    found = heights(strips(udder(LF=(5.0, 5.05, 4.98, 5.02)))["LF"], "line-own")

    assert max(found) - min(found) < HIGH / 10


def test_a_missing_newest_reading_has_no_dot() -> None:
    """The dot is the last milking's; without a reading of it there is none, and no udder has no strips."""
    assert "<path" in strips(udder(LF=(5.0, 5.1)))["LF"]
    assert "<path" not in strips(udder(LF=(5.0, None)))["LF"]
    assert "<path" not in strips(udder(LF=()))["LF"]
    assert strips(None) == {}


def test_a_strip_is_hidden_from_those_who_hear_the_page() -> None:
    """Its figures stand beside it in words."""
    root = ElementTree.fromstring(strips(udder(LF=(5.0, 5.1)))["LF"])

    assert root.get("aria-hidden") == "true"
    assert not list(root.iter(f"{SVG}text"))
