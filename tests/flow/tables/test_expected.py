"""What figures are expected to be: what is possible holds what is usual, which holds where the middle lies."""

from __future__ import annotations

import pytest

from sentinel.flow.tables import EXPORTED, table_named
from sentinel.flow.tables.expected import Expected


def test_ranges_lie_within_each_other() -> None:
    """A declaration that contradicts itself is refused as the program starts."""
    with pytest.raises(AssertionError):
        Expected((0, 10), usual=(5, 20))
    with pytest.raises(AssertionError):
        Expected((0, 10), usual=(2, 8), middle=(1, 5))


def test_every_range_says_where_it_comes_from() -> None:
    """A source, or that there is none."""
    declared = [c.expected for table in EXPORTED for c in table.columns if c.expected is not None]

    assert len(declared) > 15
    assert all("no source" in one.source for one in declared)


@pytest.mark.parametrize(
    ("field", "real", "wrong"),
    [
        ("visits.milk_kg", (0, 12.5, 61), (-1, 12_500, 125)),  # grams; a lost decimal mark
        ("visits.duration_s", (12, 420, 9000), (420_000, -1)),  # milliseconds
        ("visits.attach_s", (8, 75, 900), (75_000,)),
        ("quarters.conductivity_mS_cm", (2.4, 5.1, 14), (0, 0.51, 51, 510, 5100)),  # nothing, S/m, mS/m, µS/cm
        ("tank.temperature_C", (-4, 3.6, 80), (277, -40)),  # kelvin
        ("tank.cells_k_ml", (5, 180, 4000), (180_000,)),  # cells a millilitre
        ("cow_tests.cells_k_ml", (2, 85, 28_000), (85_000, 250_000)),
    ],
)
def test_what_a_cow_can_do_is_possible_and_another_unit_is_not(
    field: str, real: tuple[float, ...], wrong: tuple[float, ...]
) -> None:
    """However odd or ill she is; figures from common practice, no source."""
    table, name = field.split(".")
    expected = table_named(table).column(name).expected
    assert expected is not None

    assert [value for value in real if not expected.is_possible(value)] == []
    assert [value for value in wrong if expected.is_possible(value)] == []
