"""Units of an export become the unit of the column, checked against figures from outside."""

import pytest

from sentinel.flow.feeds.units import conversion


@pytest.mark.parametrize(
    ("value", "unit", "target", "expected"),
    [
        # 1 lb = 0.45359237 kg exactly: NIST Special Publication 811 (2008), appendix B.8; from memory
        (1, "lb", "kg", 0.45359237),
        # t(°C) = (t(°F) - 32) / 1.8: NIST Special Publication 811 (2008), appendix B.8; from memory
        (212, "degF", "degC", 100.0),
        (39.2, "°F", "degC", 4.0),
        (4, "°C", "degC", 4.0),
        # 1 min = 60 s, 1 h = 3600 s: SI Brochure, 9th edition, table 8; from memory
        (7.5, "min", "s", 450.0),
        (0.5, "h", "s", 1800.0),
        (5900, "µS/cm", "mS/cm", 5.9),
        (5900, "uS/cm", "mS/cm", 5.9),
        (540, "mS/m", "mS/cm", 5.4),
        (0.54, "S/m", "mS/cm", 5.4),
        (12.5, "cm", "mm", 125.0),
        (2500, "g", "kg", 2.5),
        (187_000, "cells/ml", "1000/ml", 187.0),
        (3, "1/d", "1/d", 3),
        # 1 gal (US) = 3.785412 l: NIST Special Publication 811 (2008), appendix B.8; from memory
        (1, "gallon", "l", 3.785412),
    ],
)
def test_units_convert(value: float, unit: str, target: str, expected: float) -> None:
    """Each agrees with its source to a millionth."""
    assert conversion(unit, target)(value) == pytest.approx(expected, rel=1e-6)


def test_litres_become_kilograms_only_with_a_density() -> None:
    """A volume is no mass; with the density the map states it is."""
    with pytest.raises(ValueError, match="state density_kg_per_l"):
        conversion("l", "kg")

    assert conversion("l", "kg", 1.03)(10) == pytest.approx(10.3)
    assert conversion("l/min", "kg/min", 1.03)(2) == pytest.approx(2.06)
    assert conversion("kg", "l", 1.03)(1.03) == pytest.approx(1.0)


@pytest.mark.parametrize(("unit", "target"), [("kg", "s"), ("lbx", "kg"), ("", "kg"), ("m", "1000/ml"), ("3 kg", "kg")])
def test_what_cannot_be_converted_is_refused(unit: str, target: str) -> None:
    """With a ValueError that a person can read."""
    with pytest.raises(ValueError, match='"'):
        conversion(unit, target)
