"""Charts: whole SVG, the same figures in words, no colour of their own, small."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment
from view_farm import AT, alert, rows, the_rules

from sentinel.flow.language import english
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.views.charts import (
    Picture,
    cow_chart,
    failures_chart,
    late_chart,
    quarter_chart,
    tank_chart,
    teats_chart,
)
from sentinel.flow.views.charts.draw import WIDTH, thinned, ticks
from sentinel.flow.views.charts.failures import Counted, Teat, TeatMap
from sentinel.flow.views.charts.pictures import Rows, alert_pictures, box_pictures, quarter_pictures
from sentinel.flow.views.charts.series import Series
from sentinel.flow.views.cow import cow_page
from sentinel.flow.views.parts.late_cows import Late, LateCows
from sentinel.flow.views.quarter import QuarterPage, QuarterReading
from sentinel.flow.views.tank import Reading, TankPage, TankTest

SVG = "{http://www.w3.org/2000/svg}"
WORDS = english("UTC", ",")
SMALL = 12_000


def read(picture: Picture) -> ElementTree.Element:
    """The chart as XML, with what every chart must have looked at."""
    root = ElementTree.fromstring(picture.svg)
    title, said = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert said is not None
    assert (root.get("role"), title.text, said.text) == ("img", picture.title, " ".join(picture.sentences))
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("aria-describedby") == said.get("id")
    assert (root.get("viewBox") or "").startswith(f"0 0 {WIDTH} ")
    for part in root.iter():
        assert not {"style", "onload", "href"} & set(part.attrib)
        assert {part.get("fill"), part.get("stroke")} <= {None, "none", "currentColor"}
    assert "nan" not in re.sub(r"<(title|desc|text).*?</\1>", "", picture.svg)
    assert len(picture.svg) < SMALL
    return root


def texts(root: ElementTree.Element) -> list[str]:
    """The words drawn."""
    return [part.text or "" for part in root.iter(f"{SVG}text")]


def count(root: ElementTree.Element, kind: str, step: str) -> int:
    """How often a step stands in the paths of a class."""
    return sum((part.get("d") or "").count(step) for part in root.iter(f"{SVG}path") if part.get("class") == kind)


def readings(*values: tuple[float, float | None, bool]) -> QuarterPage:
    """Milkings every 8 h up to `AT`: (own, others, cup came off)."""
    found = [
        QuarterReading(AT - 8 * HOUR_S * n, "1", own, others, 3.0, 3.0, off)
        for n, (own, others, off) in enumerate(reversed(values))
    ]
    return QuarterPage("217", "LF", tuple(found), ())


def test_a_quarter_is_drawn_against_the_others_with_bound_and_the_moment_it_was_raised() -> None:
    """Its line with dots, the others dashed, a cross where the cup came off, the rule's own measure below."""
    page = readings((4.5, 4.4, False), (4.6, 4.5, False), (9.9, 4.5, True), (6.2, 4.6, False), (6.0, 4.5, False))
    measured = Series(((AT - HOUR_S, 1.0), (AT, 5.5)), "points", 4.0, 6.0, True)
    picture = quarter_chart(page, WORDS, "UTC", AT, measured, None, [moment("1d05:00"), moment("-30d00:00")])
    root = read(picture)
    assert count(root, "line-own", "M") == 4 + 2 + 1  # own readings, the measure's, and the key
    assert count(root, "mark", "M") == 2  # the cross, and the one in the key
    assert {"mS/cm", "points", "bound 4", "cannot wait: 6", "raised 05:00", "this quarter"} <= set(texts(root))
    dashed = {line.get("class"): line.get("stroke-dasharray") for line in root.iter(f"{SVG}polyline")}
    assert (dashed["line-own"], dashed["line-other"], dashed["limit"]) == (None, "6 3", "2 3")
    assert picture.title == "Cow 217, left front quarter: conductivity over 14 days against her other quarters"
    assert picture.sentences == (
        "This quarter: first 4,5 mS/cm, last 6, highest 6,2 (04:00).",
        "Mean of the others: first 4,4 mS/cm, last 4,5, highest 4,6 (04:00).",
        "Its cup came off early at 1 of these milkings.",
        "Signs of a change: 5,5 points at the last milking, highest 5,5 (12:00). The rule's bound is 4.",
        "Raised 05:00.",
    )


def test_a_bound_in_the_quarters_own_unit_is_a_line_among_the_readings() -> None:
    """Without another measure there is no lower part."""
    picture = quarter_chart(readings((4.5, 4.4, False)), WORDS, "UTC", AT, limit=6.5)
    assert "bound 6,5" in texts(read(picture))
    assert "The bound is 6,5 mS/cm." in picture.sentences


@pytest.mark.parametrize(
    "picture",
    [
        quarter_chart(QuarterPage("217", "LF", (), ()), WORDS, "UTC", AT),
        failures_chart(Counted("2", AT - 60, AT, (), ()), WORDS, "UTC", AT),
        teats_chart(TeatMap("2", AT - 60, AT, ()), WORDS, AT),
        late_chart(LateCows(AT, ()), WORDS, AT),
        cow_chart(cow_page("1", rows(), [], "UTC", AT), WORDS, "UTC", AT),
        tank_chart(TankPage("1", True, AT, (), (), {}, ()), "cells", WORDS, "UTC", AT),
    ],
)
def test_a_chart_without_figures_says_so(picture: Picture) -> None:
    """In the drawing and in the words, which are one sentence."""
    root = read(picture)
    assert tuple(texts(root)) == picture.sentences
    assert len(picture.sentences) == 1


def test_failures_stand_beside_those_expected() -> None:
    """A stair of what failed, a dashed line of what was expected; cows that failed again are named in the words."""
    steps = ((AT - 3000, 1, 0.1), (AT - 2000, 1, 0.2), (AT - 1000, 2, 0.25), (AT, 3, 0.4))
    picture = failures_chart(Counted("2", AT - 4000, AT, steps, ("82", "9", "82")), WORDS, "UTC", AT, [AT - 1000])
    assert count(read(picture), "line-own", "M") == 3 + 1  # three failures, and the key
    assert picture.sentences == (
        "From 10:53 to 12:00: 3 of 4 failed, 0,4 expected.",
        "Cows that failed more than once: 82 (2).",
        "Raised 11:43.",
    )


def test_teats_are_drawn_where_each_sees_them() -> None:
    """Left of the usual place where the box sees them to the left; the cow's head is up."""
    found = TeatMap("2", AT - 3600, AT, tuple(Teat(q, along, right, 0.4, -11.3, 23) for q, along, right in (
        ("LF", 55, -60), ("RF", 55, 60), ("LR", -55, -40), ("RR", -55, 40))))  # fmt: skip
    picture = teats_chart(found, WORDS, AT)
    root = read(picture)
    dots = next(part for part in root.iter(f"{SVG}path") if part.get("class") == "line-own").get("d") or ""
    squares = next(part for part in root.iter(f"{SVG}path") if part.get("class") == "line-other").get("d") or ""
    here = [tuple(map(float, xy)) for xy in re.findall(r"M([\d.]+),([\d.]+)", dots)]
    usual = [tuple(x + 4 for x in map(float, xy)) for xy in re.findall(r"M([\d.]+),([\d.]+)", squares)]
    assert all(a[0] < b[0] for a, b in zip(here, usual, strict=True))
    assert usual[0][1] < usual[2][1]  # front above rear
    assert usual[0][0] < usual[1][0]  # left of right
    assert picture.sentences[1] == "Left front: seen 11,3 mm to the left and 0,4 mm to the front."


def test_late_cows_are_bars_with_their_bounds() -> None:
    """The longest first, at most twelve and the one that is meant; the words say how many more there are."""
    cows = tuple(Late(str(n), 40.0 - n, 26.0 if n == 3 else 14.0) for n in range(20))
    picture = late_chart(LateCows(AT, cows), WORDS, AT, "17")
    root = read(picture)
    bars = [part.get("class") for part in root.iter(f"{SVG}rect")]
    assert bars == ["bar"] * 12 + ["bar own", "bar"]
    assert {"0", "17", "40 h", "23 h"} <= set(texts(root))
    assert picture.sentences[0] == "Known until 12:00."
    assert "Cow 3: 37 h, bound 26 h." in picture.sentences
    assert picture.sentences[-1] == "7 more cows are late."


def test_a_cows_time_line_marks_what_went_wrong() -> None:
    """Bars for kg, a square for an incomplete milking, a cross below for one that failed, a stroke for one not due."""
    visits = """
cow  start    box  outcome     milk_kg
7    06:00    1    milked      12
7    14:00    1    incomplete  4
7    16:00    1    failed      -
7    17:00    1    failed      -
7    1d02:00  2    refused     -
7    1d06:00  2    milked      11
"""
    page = cow_page("7", rows(visits=visits), [alert(1, "cow:7", since="1d04:00")], "UTC", AT)
    picture = cow_chart(page, WORDS, "UTC", AT)
    root = read(picture)
    assert count(root, "bars", "M") == 3
    assert count(root, "mark", "z") == 1 + 1  # with the key
    assert count(root, "tip", "M") == 1  # the alert stands
    assert {"incomplete", "not attached", "not due", "alert"} <= set(texts(root))
    assert picture.sentences == (
        "2 whole milkings, 1 incomplete, 2 not attached, 1 not due.",
        "13,5 kg a day on average.",
        "Last milked 06:00.",
        "Alert 04:00: about cow:7.",
    )


def test_a_tank_is_drawn_with_its_limit() -> None:
    """Temperature of two weeks, cells and bacteria of four months."""
    page = TankPage(
        "1", True, AT, (Reading(AT, 4.2, None), Reading(AT - HOUR_S, 7.5, 900.0)),
        (TankTest(AT - DAY_S, 210, None), TankTest(AT - 90 * DAY_S, 180, 12)), {"temperature": 6.0, "cells": 400.0}, (),
    )  # fmt: skip
    warm = tank_chart(page, "temperature", WORDS, "UTC", AT)
    assert {"°C", "bound 6"} <= set(texts(read(warm)))
    assert warm.sentences == ("Last 4,2 °C (12:00), highest 7,5 (11:00).", "The rule's bound is 6.")
    cells = tank_chart(page, "cells", WORDS, "UTC", AT)
    assert cells.sentences[0].startswith("Last 210 1000/ml")
    assert "bound 400" in texts(read(cells))
    assert not any("bound" in one for one in texts(read(tank_chart(page, "bacteria", WORDS, "UTC", AT))))


def test_names_from_exports_and_rules_cannot_break_out() -> None:
    """They stand as text, in the drawing and in its words."""
    bad = '<script>alert("1")</script>&'
    page = cow_page(bad, rows(), [alert(1, f"cow:{bad}")], "UTC", AT)
    pictures = [
        late_chart(LateCows(AT, (Late(bad, 20, 14),)), WORDS, AT),
        cow_chart(page, WORDS, "UTC", AT),
        failures_chart(Counted(bad, AT - 60, AT, ((AT, 1, 0.1),), (bad, bad)), WORDS, "UTC", AT),
    ]
    for picture in pictures:
        root = read(picture)
        assert not list(root.iter(f"{SVG}script"))
        assert re.fullmatch(r"[a-z0-9-]+", root.get("aria-labelledby") or "")


FIGURE = st.floats(0.1, 12.0, allow_nan=False)
MILKING = st.tuples(FIGURE, st.none() | FIGURE, st.booleans())


@settings(max_examples=30, deadline=None)
@given(st.lists(MILKING, max_size=80), st.lists(st.tuples(st.integers(AT - 14 * DAY_S, AT), FIGURE), max_size=300))
def test_a_chart_of_any_figures_is_whole_and_small(
    milkings: list[tuple[float, float | None, bool]], measured: list[tuple[int, float]]
) -> None:
    """However many, and however they lie; even six milkings a day, and a measure read far more often."""
    read(quarter_chart(readings(*milkings), WORDS, "UTC", AT, Series(tuple(sorted(measured)), "points", 4, 6, True)))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 14 * DAY_S), st.booleans()), max_size=400))
def test_failures_of_any_box_make_a_whole_and_small_chart(tries: list[tuple[int, bool]]) -> None:
    """Also a box that fails hundreds of times."""
    steps, failed = [], 0
    for n, (back, bad) in enumerate(sorted(tries, reverse=True)):
        failed += bad
        steps.append((AT - back, failed, n * 0.04))
    read(failures_chart(Counted("2", AT - 14 * DAY_S, AT, tuple(steps), ()), WORDS, "UTC", AT))


@given(st.lists(st.tuples(st.integers(), st.integers()), max_size=300), st.integers(4, 100))
def test_thinned_points_keep_their_order_their_ends_and_their_extremes(
    points: list[tuple[int, int]], most: int
) -> None:
    """So no peak is lost in a small drawing."""
    kept = thinned(points, most)
    assert len(kept) <= most + 2
    assert set(kept) <= set(points)
    if points:
        assert (kept[0], kept[-1]) == (points[0], points[-1])
        assert {min(y for _, y in kept), max(y for _, y in kept)} == {
            min(y for _, y in points),
            max(y for _, y in points),
        }


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_a_scale_has_few_round_steps_within_its_ends(low: float, span: float) -> None:
    """At most six, evenly apart."""
    found = ticks(low, low + span)
    assert 1 <= len(found) <= 6
    assert all(low - span * 1e-6 <= value <= low + span * (1 + 1e-6) for value in found)
    assert len(found) < 3 or np.allclose(np.diff(found), found[1] - found[0], atol=1e-9)


VISITS = """
cow  start    box  outcome  milk_kg  lf_conductivity_mS_cm  rf_conductivity_mS_cm
7    06:00    1    milked   12       4.5                    4.4
7    14:00    2    failed   -        -                      -
7    1d06:00  1    milked   11       5.5                    4.4
8    1d07:00  2    milked   11       5.5                    4.4
"""


@pytest.mark.parametrize(
    ("subject", "rule", "names"),
    [
        ("quarter:7/LF", "q", ["Cow 7, left front quarter", "Cow 7: milkings ove"]),
        ("cow:7", "late-cow", ["Hours since milking", "Cow 7: milkings ove"]),
        ("box:2", "box", ["Box 2: failed", "Box 2: where it sees"]),
        ("herd", "box", []),
        ("feed:a", "feed-quiet", []),
        ("cow:7", "a rule that is gone", ["Cow 7: milkings ove"]),
    ],
)
def test_an_alert_shows_the_charts_of_its_measure(subject: str, rule: str, names: list[str]) -> None:
    """Those of its subject; all boxes at once have none of a single box."""
    rules = the_rules()
    rules["q"] = replace_rule("q", "conductivity_rise_pct", "quarter")
    rules["box"] = replace_rule("box", "failures_beyond_chance", "box")
    one = alert(1, subject, since="1d06:00", rule=rule)
    found = alert_pictures(one, Rows(rows(visits=VISITS), rules, (one,), "UTC", WORDS, AT))
    assert [picture.title[: len(name)] for picture, name in zip(found, names, strict=True)] == names
    for picture in found:
        read(picture)


def replace_rule(name: str, measure: str, per: str):
    """A rule on a measure."""
    return the_rules()["late-cow"].model_copy(
        update={"name": name, "measure": measure, "per": per, "where": {}, "classes": (), "unit": "%"}
    )


def test_pages_without_a_matching_rule_still_have_their_charts() -> None:
    """A box's failures and teats, a quarter against the others."""
    shown = Rows(rows(visits=VISITS), {}, (), "UTC", WORDS, AT)
    assert len(box_pictures("2", shown)) == 2
    for one in (*box_pictures("2", shown), *quarter_pictures("7", "LF", shown)):
        read(one)
    rules = {"q": replace_rule("q", "conductivity_rise_pct", "quarter")}
    [picture] = quarter_pictures("7", "LF", replace(shown, rules=rules))
    assert {"mS/cm", "%"} <= set(texts(read(picture)))
