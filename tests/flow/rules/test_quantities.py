"""Quantities as people write them and as they read them."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.language import english
from sentinel.flow.measures import MEASURES
from sentinel.flow.rules.quantities import (
    COUNTED,
    UNITS,
    USUAL,
    format_quantity,
    kind_of_unit,
    parse_quantity,
    quantity_pattern,
)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("14 h", "h", 14),
        ("14h", "s", 50400),
        ("90 min", "h", 1.5),
        ("1 d 6 h", "h", 30),
        ("30 s", "min", 0.5),
        ("2 weeks", "d", 14),
        ("15 %", "%", 15),
        ("-5 %", "%", -5),
        ("−5 %", "%", -5),
        ("6.5 mS/cm", "mS/cm", 6.5),
        ("6,5 mS/cm", "mS/cm", 6.5),
        ("6500 µS/cm", "mS/cm", 6.5),
        ("1.3 ratio", "ratio", 1.3),
        ("1.3 x", "ratio", 1.3),
        ("3 failures", "failures", 3),
        ("1 failure", "failures", 1),
        ("200 milkings", "milkings", 200),
        ("0 rows", "rows", 0),
        ("44 lb", "kg", 19.958),
        ("43 °F", "°C", 6.111),  # (43 - 32) x 5/9
    ],
)
def test_a_quantity_is_read_in_the_asked_unit(text: str, unit: str, value: float) -> None:
    """What people write, in whatever unit of the right kind, comes out in the unit that is asked for."""
    assert parse_quantity(text, unit) == pytest.approx(value, abs=5e-4)


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("14", "s", '14: a duration needs its unit, for example "14 h"'),
        (14, "h", '14: a duration needs its unit, for example "14 h"'),
        (3, "failures", '3: a number of failures needs its word, for example "3 failures"'),
        ("15 h", "%", '15 h: this is a duration, but a share is needed, for example "15 %"'),
        ("3 milkings", "failures", "3 milkings: this is a number of milkings, but a number of failures is needed, "
         'for example "3 failures"'),
        ("90m", "s", '90m: "m" is not a unit known here; write s, min, h, d or week, for example "90 min"'),
        ("1,200 milkings", "milkings", "1,200 milkings: this could mean two numbers; write thousands without a "
         'mark, like "1200"'),
        ("2.5 failures", "failures", '2.5 failures: a count is a whole number, for example "3 failures"'),
        ("-3 h", "s", '-3 h: a duration cannot be less than nothing; write it like "14 h"'),
        ("5-6 h", "s", '5-6 h: this is not a duration; write it like "14 h"'),
        ("15 % 3 %", "%", '15 % 3 %: this is not a share; write it like "15 %"'),
        ("1 d 6", "s", '1 d 6: a duration needs its unit, for example "6 h"'),
        ("soon", "s", 'soon: this is not a duration; write it like "14 h"'),
        ("", "s", 'nothing: this is not a duration; write it like "14 h"'),
        (True, "s", 'this should be a duration written as text, for example "14 h"'),
        (["14 h"], "s", 'this should be a duration written as text, for example "14 h"'),
    ],
)  # fmt: skip
def test_anything_else_is_refused_with_what_would_be_right(text: object, unit: str, said: str) -> None:
    """A bare number, a wrong unit and a word that is no unit are refused, and the sentence says what to write."""
    with pytest.raises(ValueError, match="^" + re.escape(said) + "$"):
        parse_quantity(text, unit)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (14.5, "h", "14 h 30 min"),
        (47.99, "h", "47 h 59 min"),
        (48, "h", "2 d"),
        (54, "h", "2 d 6 h"),
        (0, "h", "0 min"),
        (95, "min", "95 min"),
        (60, "min", "1 h"),
        (125, "min", "2 h 5 min"),
        (119.7, "s", "2 min"),
        (45, "s", "45 s"),
        (7199, "s", "2 h"),
        (15.0, "%", "15 %"),
        (15.26, "%", "15.3 %"),
        (-0.01, "%", "0 %"),
        (5.874, "mS/cm", "5.87 mS/cm"),
        (1.3, "ratio", "1.3 ×"),
        (1, "failures", "1 failure"),
        (3, "failures", "3 failures"),
        (float("nan"), "h", "not known"),
    ],
)
def test_a_value_is_written_as_people_read_it(value: float, unit: str, text: str) -> None:
    """Durations come in the units one would say, shares with no decimals or one, one failure is a failure."""
    assert format_quantity(value, unit) == text


def test_the_farms_decimal_mark_is_used() -> None:
    """A farm with a decimal comma reads its numbers with one."""
    assert format_quantity(5.874, "mS/cm", english(decimal=",")) == "5,87 mS/cm"


def _printed_precision(unit: str, value: float) -> float:
    """Half of the last printed digit, in the unit."""
    kind = kind_of_unit(unit)
    if kind == "duration":
        seconds = value * UNITS[unit].factor
        step = 1 if seconds < 119 else 60 if seconds < 47.9 * 3600 else 3600
        return (step / 2 + 30.5) / UNITS[unit].factor if seconds > 119 else 0.5 / UNITS[unit].factor
    if kind.startswith("count of "):
        return 0.5
    return {"conductivity": 0.005, "ratio": 0.005}.get(kind, 0.05)


@given(
    value=st.floats(0, 3.6e4, allow_nan=False),  # in days a hundred years, the longest duration
    unit=st.sampled_from(["s", "min", "h", "d", "%", "mS/cm", "ratio", "kg", "l", "mm", "°C", *COUNTED]),
    decimal=st.sampled_from([".", ","]),
)
def test_what_is_written_is_read_back_to_the_printed_precision(value: float, unit: str, decimal: str) -> None:
    """Format, then parse, gives the value back as exactly as it was printed."""
    text = format_quantity(value, unit, english(decimal=decimal))

    assert parse_quantity(text, unit) == pytest.approx(value, abs=_printed_precision(unit, value) * 1.0001)
    kind = kind_of_unit(unit)
    assert re.search(quantity_pattern(kind), text)


@pytest.mark.parametrize("kind", USUAL)
def test_the_usual_examples_are_right_themselves(kind: str) -> None:
    """Every example that an error message or an editor shows is accepted."""
    unit = next(word for word, one in UNITS.items() if one.kind == kind)

    parse_quantity(USUAL[kind], unit)
    assert re.search(quantity_pattern(kind), USUAL[kind])


def test_the_pattern_for_editors_refuses_what_the_rulebook_refuses() -> None:
    """An editor marks a bare number, a wrong unit and a fraction of a count."""
    assert not re.search(quantity_pattern("duration"), "14")
    assert not re.search(quantity_pattern("duration"), "14 %")
    assert not re.search(quantity_pattern("count of failures"), "2.5 failures")


def test_every_unit_of_a_measure_can_be_written() -> None:
    """No measure has a unit, or a setting with a unit, in which nobody could write a bound."""
    units = {measure.unit for measure in MEASURES} | {option.unit for m in MEASURES for option in m.options}

    assert units <= UNITS.keys()
