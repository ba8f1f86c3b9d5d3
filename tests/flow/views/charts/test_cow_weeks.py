"""A cow's four weeks drawn: lanes above one axis of time, each kind of visit by its own shape and word."""

from __future__ import annotations

from dataclasses import replace

from flow.views.charts.looked_at import SVG, WORDS, count, read, texts
from text_tables import moment
from view_farm import AT, alert, rows, the_rules

from sentinel.flow.model import HOUR_S, Alert
from sentinel.flow.rules import Rule
from sentinel.flow.views.charts import cow_chart
from sentinel.flow.views.charts.draw import Frame
from sentinel.flow.views.parts.cow_weeks import CowWeeks, Yield, cow_weeks

HEAD = "cow  start    box  outcome     milk_kg\n"
RULES = {**the_rules(), "yield-drop": Rule(name="yield-drop", measure="yield_drop_pct", per="cow", raise_over=25)}


def visits(*more: str, days: int = 20) -> str:
    """Whole milkings of 10 kg every 8 h up to noon of the second day, and more visits."""
    starts = (f"{d}d{h:02}:00" for d in range(1 - days, 2) for h in (2, 10, 18))
    lines = [f"7  {start}  1  milked  10" for start in starts if moment(start) < AT]
    return HEAD + "\n".join([*lines, *more])


def weeks_of(text: str, *alerts: Alert, known: str = "1d12:00") -> CowWeeks:
    """The four weeks of cow 7."""
    return cow_weeks("7", rows(visits=text, known=known), alerts, RULES, AT)


def test_each_kind_of_visit_has_its_own_shape_and_word() -> None:
    """A stem for a milking, a square, a cross, a triangle and a stroke for the others, each counted in the key."""
    text = visits("7  1d05:00  1  incomplete  4", "7  1d07:00  1  failed  -", "7  1d11:00  1  refused  -")
    plain = cow_chart(weeks_of(visits()), WORDS, "UTC")
    picture = cow_chart(weeks_of(text + "\n7  -5d23:30  2  refused  -\n7  -25d08:00  2  refused  -"), WORDS, "UTC")
    root = read(picture)

    assert {"62 milked", "1 incomplete", "1 not attached", "1 not admitted", "2 not due"} <= set(texts(root))
    steps = [count(root, "mark", "z") - count(read(plain), "mark", "z"), count(root, "mark", "m-7.0,0")]
    assert steps == [2 + 2, 2]  # squares and triangles, crosses; each once more in the key
    assert picture.sentences[0] == (
        "Visits in four weeks: 62 milked, 1 incomplete, 1 not attached, 1 not admitted, 2 not due."
    )


def test_her_milk_lies_beside_what_the_rule_expects() -> None:
    """The newest figure and the expected one are in the words; the bound is a line of its own."""
    picture = cow_chart(weeks_of(visits()), WORDS, "UTC")
    root = read(picture)
    lines = [part.get("class") for part in root.iter(f"{SVG}polyline")]

    assert {"line-own", "line-other", "limit"} <= set(lines)
    assert "kg in 24 h" in texts(root)
    assert "Milk in 24 h at her last milking (10:00): 30 kg, 30 kg expected." in picture.sentences
    assert "She is late after 14 h." in picture.sentences


def test_alerts_and_their_answers_lie_on_the_same_axis() -> None:
    """Where an alert begins and was answered is as far to the right as a visit of that moment."""
    answered = {"answered_at": moment("1d08:00"), "answered_by": "Marit", "finding": "lame"}
    weeks = weeks_of(visits(), alert(1, "quarter:7/RR", since="-4d12:00", **answered))
    picture = cow_chart(weeks, WORDS, "UTC")
    root = read(picture)
    frame = Frame((weeks.begins, weeks.at), (0, 1), 0, 1)
    [span] = [
        one for one in root.iter(f"{SVG}polyline") if one.get("class") == "raised" and one.get("stroke-width") == "4"
    ]
    tips = [part.get("d") or "" for part in root.iter(f"{SVG}path") if part.get("class") == "tip"]

    assert (span.get("points") or "").startswith(f"{frame.across(moment('-4d12:00')):.1f},")
    assert any(step.startswith(f"M{frame.across(moment('1d08:00')):.1f},") for step in tips)
    assert {"alert", "answered"} <= set(texts(root))
    assert picture.sentences[-3:-1] == ("Alert Thu 12:00: about quarter:7/RR.", "Marit answered 08:00: lame.")


def test_what_is_not_known_is_shaded_and_said() -> None:
    """Visits that begin or end within the four weeks, weights that are missing, endings that could not be read."""
    text = visits("7  1d03:00  1  milked  -", "7  1d04:00  1  unknown  -", days=9)
    picture = cow_chart(weeks_of(text, known="-1d12:00"), WORDS, "UTC")
    shades = [part for part in read(picture).iter(f"{SVG}rect") if part.get("class") == "axis band"]
    nothing = cow_chart(replace(weeks_of(text), known_until=None), WORDS, "UTC")

    assert len(shades) == 2 + 1  # before, after, and in the key
    assert "Visits are known from Sat 21 Feb 02:00 on." in " ".join(picture.sentences) or any(
        said.startswith("Visits are known from ") for said in picture.sentences
    )
    assert "1 milking has no milk weight." in picture.sentences
    assert "Of 1 visit it is not known how they ended." in picture.sentences
    assert "No visits are known yet." in nothing.sentences


def test_a_cow_that_was_not_seen_says_so() -> None:
    """And one without milk weights draws her hours all the same."""
    assert cow_chart(weeks_of(HEAD + "8  06:00  1  milked  9"), WORDS, "UTC").sentences == (
        "She was not seen at a box in these four weeks.",
    )
    root = read(cow_chart(weeks_of(visits().replace("milked  10", "milked  -")), WORDS, "UTC"))
    assert "no milk weights to work out her yield from" in texts(root)
    assert count(root, "bars", "M") > 50


def test_a_very_long_interval_does_not_flatten_the_others() -> None:
    """It is drawn at the lane's edge, and its hours are in the words."""
    text = HEAD + "\n".join(f"7  {d}d06:00  1  milked  9" for d in (-20, -10, 0, 1))
    picture = cow_chart(weeks_of(text), WORDS, "UTC")

    assert not {"100", "200"} & set(texts(read(picture)))
    assert any(said.startswith("Longest time between milkings: 240 h") for said in picture.sentences)


def test_a_milking_without_anything_expected_is_told_without() -> None:
    """As in her first days."""
    weeks = replace(weeks_of(visits()), yields=(Yield(AT - HOUR_S, 24.0, None),))

    assert "Milk in 24 h at her last milking (11:00): 24 kg." in cow_chart(weeks, WORDS, "UTC").sentences
