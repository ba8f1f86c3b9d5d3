"""What the figures of a column are expected to be, each with where that comes from.

Three questions are asked of figures, and each has its range. `possible`: nothing outside it is a reading of a cow, a
quarter or a tank, whatever ails them; it is as wide as that takes, and what lies outside is read as unknown. `usual`:
most of a healthy herd lies within; a cow outside it is a cow, many of them are a finding of `check`. `middle`: there
lies the median of an export's figures (those that are 0 aside), which a wrong unit moves even where each single
figure could be right: milk in pounds read as kilograms is too much for a herd, and not for a cow.
"""

from __future__ import annotations

from dataclasses import dataclass

ANY = (float("-inf"), float("inf"))

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Expected:
    """Ranges of a column's figures, in its unit, both ends within; `source`: where they come from.

    `not_measured`: an export may write this figure for nothing measured, as 0 mS/cm for a quarter that gave no milk.
    """

    possible: tuple[float, float]
    usual: tuple[float, float] = ANY
    middle: tuple[float, float] = ANY
    source: str = PRACTICE
    not_measured: float | None = None

    def __post_init__(self) -> None:
        """What is usual is possible, and the middle is usual."""
        assert self.possible[0] < self.possible[1]
        for inner, outer in ((self.usual, self.possible), (self.middle, self.usual)):
            assert inner == ANY or (outer[0] <= inner[0] < inner[1] <= outer[1])

    def is_possible(self, value: float) -> bool:
        """Whether a figure can be a reading."""
        return self.possible[0] <= value <= self.possible[1]


STAY_S = Expected((0, 21_600), usual=(10, 1800), middle=(30, 1500))
"""Nobody leaves a cow shut in a box for 6 h; a visit without milking takes less than a minute."""

MILKING_KG = Expected((0, 100), usual=(0.5, 40), middle=(4, 22))
"""A lost decimal mark makes a hundred kilograms of ten. Pounds read as kilograms put the middle past 22 in most herds:
a cow of the usual 10 kg a milking would give 22 lb."""

ATTACH_S = Expected((0, 21_600), usual=(5, 900), middle=(10, 600))
"""No longer than the stay. Where it is the stay less the milking, as in ICAR ADE, walking in and out is in it too."""

TRIES = Expected((0, 200), usual=(0, 30), middle=(1, 8))

FLOW_KG_MIN = Expected((0, 30), usual=(0.3, 12), middle=(1, 8))

CONDUCTIVITY_MS_CM = Expected(
    (1, 25),
    usual=(3, 10),
    middle=(3.5, 7.5),
    source="milk 4.0-5.5 mS/cm (Dairy Chemistry and Biochemistry, p. 457), subclinical mastitis up to 7.5 (Vet Record "
    "128:513); that milk stays under 10 and no milk is past 1-25: common practice, no source",
    not_measured=0,
)
"""Blood and salt water conduct less than 25 mS/cm; 52 is a figure of ten times the unit, 0.5 is air or S/m."""

QUARTER_KG = Expected((0, 50), usual=(0.1, 15), middle=(0.5, 8))

TEAT_MM = Expected((-10_000, 10_000))
"""From where each make of box counts it, so nothing is usual."""

LACTATION = Expected((0, 25), usual=(0, 12), middle=(1, 6))

MILKINGS_A_DAY = Expected((0, 24), usual=(0, 8), middle=(1, 6))

TANK_DEG_C = Expected((-20, 110), usual=(0, 40), middle=(0.5, 15))
"""The tank is washed hot between collections, and a thermometer may hang in the empty one in frost."""

TANK_L = Expected((0, 250_000), usual=(0, 60_000))

TANK_CELLS_K_ML = Expected(
    (0, 10_000),
    usual=(20, 1500),
    middle=(40, 900),
    source="EU limit 400, US limit 750 (Regulation (EC) 853/2004; UC Davis); the rest common practice, no source",
)
"""Cells a millilitre read as thousands are past it."""

BACTERIA_K_ML = Expected(
    (0, 100_000),
    usual=(1, 2000),
    middle=(1, 300),
    source="EU limit 100 (Regulation (EC) 853/2004); the rest common practice, no source",
)

COW_CELLS_K_ML = Expected(
    (0, 60_000),
    usual=(1, 10_000),
    middle=(10, 800),
    source="linear scores 0 to 9 are 12.5 to 6400 (USDA); the rest common practice, no source",
)
"""Of a cow with an acute mastitis they may be tens of millions a millilitre."""

DAY_KG = Expected((0, 150), usual=(2, 80), middle=(8, 55))
