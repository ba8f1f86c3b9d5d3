"""What a simulated herd is made of: every number with its unit and where it comes from.

A source is a publication, "from memory" (known of the trade, not read in a document) or "assumption". Shares are of 1.
Rises of conductivity are shares of the quarter's own level. Nothing here is a recommendation for a farm.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any, NamedTuple

from sentinel.simulator.sources import ASSUMED, DAVIS, FOX, HOGEVEEN, MEMORY, SHORT, TREMBLAY, known

HILLERTON = "experimental S. uberis: 50 % up in foremilk (Vet Record 1991, 128:513; authors from memory)"
BIGGADIKE = (
    "set so that a 10 % rise is seen in about 20 % of quarter-weeks (Biggadike et al. 2002, Vet Record 150:655; "
    "citation from memory)"
)
CHAMINGS = "herds differ in their normal level: Chamings et al. 1984, Vet Rec 114:243"
HOGEVEEN_2021 = (
    "very sick cows may not visit the box (Hogeveen et al. 2021, J Dairy Sci 104:11317; citation from memory, read in "
    "a summary of the EU DISARM project)"
)
TSE = "51 cows a box: Tse et al. 2017, J Dairy Sci 100"
RODENBURG = "5-15 % of a herd is fetched (Rodenburg, Ontario Ministry of Agriculture)"


@dataclass(frozen=True, slots=True)
class HerdFigures:
    """The cows: their lactations, their milk, how they come and how they attach."""

    lactation_d: float = known(318.0, "d", MEMORY + ": about 305 to 330")
    lactation_spread_d: float = known(18.0, "d", ASSUMED)
    dry_d: float = known(56.0, "d", MEMORY + ": about eight weeks")
    dry_spread_d: float = known(6.0, "d", ASSUMED)
    replaced: float = known(0.28, "1", MEMORY + ": about 25 to 30 % of the cows leave each year")
    lactation_stop: float = known(0.36, "1", ASSUMED + ": chance that a lactation is the last one counted so far")

    yield_kg_h: float = known(1.3, "kg/h", HOGEVEEN)
    yield_cows: float = known(0.17, "1", ASSUMED + ": between cows, beside stage and lactation")
    yield_milking: float = known(0.08, "1", ASSUMED + ": between milkings of a cow")
    yield_drift: float = known(0.04, "1", ASSUMED + ": slow wander of a cow about her own curve")
    yield_memory: float = known(0.90, "1", ASSUMED + ": of that wander from day to day")
    quarter_milking: float = known(0.10, "1", ASSUMED + ": of one quarter's part of the milk, from milking to milking")
    quarter_drift: float = known(0.05, "1", ASSUMED + ": slow wander of a quarter's part")
    left_behind: float = known(0.35, "1", ASSUMED + ": more from a quarter left half milked the time before")
    rear_share: float = known(0.56, "1", MEMORY + ": the rear quarters give a little more")
    flow_kg_min: float = known(2.5, "kg/min", HOGEVEEN)
    flow_spread_kg_min: float = known(0.5, "kg/min", ASSUMED + "; between milkings .79 in " + HOGEVEEN)

    interval_h: float = known(7.5, "h", ASSUMED + ": wished; queues and failures make 9.2 of it, " + HOGEVEEN)
    interval_shape: float = known(1.9, "1", ASSUMED + ": Weibull shape, for the spread of " + HOGEVEEN)
    restless_h: float = known(12.5, "h", MEMORY + ": a cow past this seeks the box on her own")
    restless_share: float = known(0.4, "1", ASSUMED + ": what is left of a wish beyond that")
    fetch_over_h: float = known(11.0, "h", MEMORY + ": cows past this are brought on the rounds; 8 to 12 h")
    fetched: float = known(0.88, "1", ASSUMED + "; " + RODENBURG)
    curious: float = known(0.22, "1", ASSUMED + ": chance of a visit before she is due; 1.9 a cow and day, " + TREMBLAY)
    sent_on_s: float = known(45.0, "s", ASSUMED + ": stay of a cow that is not due yet")
    retry_h: float = known(1.3, "h", ASSUMED + ": a cow that was not attached comes again")
    again_h: float = known(2.6, "h", ASSUMED + ": a cow that was milked incompletely comes again")

    sooner: float = known(0.5, "1", ASSUMED + ": of these times, for a cow long unmilked")
    sooner_from_h: float = known(10.0, "h", ASSUMED)

    failed: float = known(0.026, "1", ASSUMED + ": with faults, disturbed days and hard cows near " + TREMBLAY)
    failed_herds: float = known(0.20, "1", ASSUMED + ": spread between herds (of the logarithm)")
    failed_cows: float = known(9.0, "1", ASSUMED + ": sum of both beta parameters; small makes few, very hard cows")
    incomplete: float = known(0.045, "1", ASSUMED + "; " + SHORT)
    failed_stay_s: float = known(226.0, "s", DAVIS + ": 3.76 min at failed milkings")
    longest_stay_s: float = known(720.0, "s", ASSUMED + ": the box lets her go")
    attach_s: float = known(75.0, "s", MEMORY)
    attach_cows: float = known(0.22, "1", ASSUMED + ": between cows (of the logarithm)")
    attach_visit: float = known(0.32, "1", ASSUMED + ": between visits (of the logarithm)")
    attach_drift: float = known(0.06, "1", ASSUMED + ": slow wander of a box (of the logarithm)")
    attempts: float = known(0.15, "1", ASSUMED + ": tries beyond the first at a milking")


@dataclass(frozen=True, slots=True)
class MilkFigures:
    """Conductivity and cells: what is normal, and what makes normal milk read oddly."""

    level_mS_cm: float = known(4.75, "mS/cm", ASSUMED + ": the middle; " + FOX)
    level_herds_mS_cm: float = known(0.22, "mS/cm", ASSUMED + "; " + CHAMINGS)
    level_cows_mS_cm: float = known(0.24, "mS/cm", ASSUMED)
    level_quarters_mS_cm: float = known(0.17, "mS/cm", ASSUMED)
    reading: float = known(0.011, "1", BIGGADIKE)
    reading_tail: float = known(5.0, "1", ASSUMED + ": degrees of freedom of Student's t: heavier tails than normal")
    noisy_cows: float = known(0.42, "1", ASSUMED + ": spread of the noise between cows (of the logarithm)")
    milking: float = known(0.012, "1", ASSUMED + ": of all quarters of a cow at one milking")
    cow_day: float = known(0.012, "1", ASSUMED + ": slow wander of a cow's four quarters")
    quarter_day: float = known(0.01, "1", ASSUMED + ": slow wander of one quarter")
    day_memory: float = known(0.82, "1", ASSUMED + ": of both wanders from day to day")
    herd_day: float = known(0.007, "1", ASSUMED + ": of the whole herd")
    per_hour: float = known(
        0.0045, "1/h", ASSUMED + ": rise per hour over the cow's mean interval (milk is fractionated)"
    )
    leak_over_h: float = known(14.0, "h", ASSUMED + ": past this a full udder leaks salt into the milk (from memory)")
    leak_per_hour: float = known(0.010, "1/h", ASSUMED)
    carry_over: float = known(0.05, "1", ASSUMED + ": at the milking after one at which the quarter's cup came off")
    kicked: float = known(0.07, "1", ASSUMED + ": a quarter reads higher when its cup came off early")
    fresh: float = known(0.14, "1", MEMORY + ": colostrum is salty; excess on the day of calving")
    fresh_d: float = known(2.5, "d", ASSUMED + ": in which it fades to a third")
    late: float = known(0.07, "1", MEMORY + ": rise from the peak of the lactation to its end")
    odd_high: float = known(0.0028, "1", ASSUMED + ": share of readings that are too high for no reason")
    odd_low: float = known(0.0040, "1", ASSUMED + ": share that are too low: air in the cup")
    odd_least: float = known(0.10, "1", ASSUMED)
    odd_most: float = known(0.40, "1", ASSUMED)
    box_sensor: float = known(0.008, "1", ASSUMED + ": between the sensors of the four places of each box")
    stuck_hours: float = known(30.0, "h", ASSUMED + ": a sensor that reads one value for so long")

    cells_k_ml: float = known(70.0, "1000/ml", MEMORY + ": a healthy cow, median")
    cells_cows: float = known(0.55, "1", ASSUMED + ": between cows (of the logarithm)")
    cells_test: float = known(0.30, "1", ASSUMED + ": between tests of a cow (of the logarithm)")
    herd_drift: float = known(0.40, "1", ASSUMED + ": chance that the herd's cells drift up over the months")
    herd_drift_size: float = known(0.75, "1", ASSUMED + ": by how much by the end (of the logarithm)")


@dataclass(frozen=True, slots=True)
class UdderFigures:
    """Udder episodes, per cow in milk and year, and what they do to the milk of the quarter."""

    clinical: float = known(0.42, "1/a", MEMORY + ": 25 to 60 cases per 100 cows and year")
    clinical_fresh: float = known(2.5, "1", MEMORY + ": so much more often in the first month of a lactation")
    barely: float = known(
        1 / 6, "1", ASSUMED + ": about one in six; subclinical S. uberis 5.3-5.6 mS/cm: no rise, " + HILLERTON
    )
    barely_rise: float = known(0.03, "1", ASSUMED)
    single: float = known(0.12, "1", ASSUMED + ": a single spike of one or two milkings and nothing more")
    clinical_rise: float = known(0.19, "1", ASSUMED + ": median peak, whole milk of the quarter; " + HILLERTON)
    clinical_spread: float = known(0.55, "1", ASSUMED + ": of the logarithm")
    clinical_grow_h: float = known(
        18.0, "h", ASSUMED + ": median time to the peak; fast with E. coli, slower with S. uberis"
    )
    clinical_hold_h: float = known(48.0, "h", ASSUMED)
    clinical_fade_h: float = known(120.0, "h", ASSUMED)
    clinical_yield: float = known(0.18, "1", ASSUMED + ": lost by the quarter at the peak, median")
    clinical_yield_spread: float = known(
        0.6, "1", ASSUMED + ": of the logarithm; some lose half, some nothing to speak of"
    )
    severe: float = known(0.25, "1", MEMORY + ": share of cases with a sick cow")
    severe_yield: float = known(0.30, "1", ASSUMED + ": lost by the whole cow")
    severe_interval: float = known(1.5, "1", ASSUMED + "; " + HOGEVEEN_2021)
    noticed_h: float = known(34.0, "h", ASSUMED + ": until people notice by themselves and keep the milk apart, mean")
    withheld_d: float = known(6.0, "d", MEMORY + ": a course of treatment and its withdrawal time")
    clinical_cells_k_ml: float = known(4000.0, "1000/ml", MEMORY)

    subclinical: float = known(2.2, "1/a", MEMORY + ": new infections, most of them never seen")
    subclinical_flat: float = known(0.35, "1", ASSUMED + ": no rise at all; S. uberis 5.3-5.6 mS/cm, " + HILLERTON)
    subclinical_rise: float = known(0.12, "1", ASSUMED + ": median; S. aureus 7.1-7.5 against 5.5 mS/cm, " + HILLERTON)
    subclinical_spread: float = known(0.50, "1", ASSUMED + ": of the logarithm")
    subclinical_grow_h: float = known(72.0, "h", ASSUMED)
    subclinical_hold_d: float = known(32.0, "d", ASSUMED)
    chronic: float = known(0.09, "1", MEMORY + ": share of quarters infected since long before; 5 to 15 %")
    chronic_d: float = known(70.0, "d", ASSUMED + ": mean time that is left of it")
    subclinical_yield: float = known(0.07, "1", ASSUMED)
    subclinical_cells_k_ml: float = known(900.0, "1000/ml", MEMORY)

    spike: float = known(1.6, "1/a", ASSUMED + ": quarters that flare up and cure themselves")
    spike_rise: float = known(0.20, "1", ASSUMED)
    spike_hours: float = known(16.0, "h", ASSUMED)
    flicker: float = known(0.40, "1", ASSUMED + ": how much the rise wavers from milking to milking (of the logarithm)")


@dataclass(frozen=True, slots=True)
class MishapFigures:
    """What happens to boxes, cows, herd, people and exports, and how often."""

    arm: float = known(5.0, "1/a", ASSUMED + ": a box; more than on a good farm, so that there is something to count")
    arm_least_mm: float = known(5.0, "mm", ASSUMED)
    arm_most_mm: float = known(18.0, "mm", ASSUMED)
    arm_hours: float = known(20.0, "h", ASSUMED + ": median until it is set back")
    arm_failed_per_mm: float = known(0.013, "1/mm", ASSUMED + ": chance to miss a cow beyond 3 mm")
    arm_incomplete_per_mm: float = known(0.006, "1/mm", ASSUMED)
    arm_attach_per_mm: float = known(0.035, "1/mm", ASSUMED)
    optics: float = known(5.0, "1/a", ASSUMED + ": a box")
    optics_hours: float = known(26.0, "h", ASSUMED + ": median until wiped clean")
    optics_grow_h: float = known(14.0, "h", ASSUMED + ": until it is as bad as it gets")
    optics_failed: float = known(0.13, "1", ASSUMED + ": mean chance to miss a cow when foul")
    optics_attach: float = known(0.65, "1", ASSUMED + ": mean excess of the attach time when foul")
    hasty: float = known(
        0.5, "1", ASSUMED + ": share of fouled boxes that are wiped on the rounds without getting clean"
    )
    stopped: float = known(7.0, "1/a", MEMORY + ": a box; alarms that need a person")
    stopped_min: float = known(95.0, "min", ASSUMED + ": median")
    fails: float = known(0.20, "1/a", ASSUMED + ": a cow; spells in which no box attaches her")
    fails_days: float = known(2.2, "d", ASSUMED)
    disturbed: float = known(9.0, "1/a", ASSUMED + ": days of flies or unrest at all boxes")
    disturbed_failed: float = known(0.07, "1", ASSUMED + ": mean chance to miss a cow on top of her own")
    hot: float = known(7.0, "1/a", ASSUMED + ": hot spells")
    hot_days: float = known(2.5, "d", ASSUMED)
    hot_rise: float = known(0.038, "1", ASSUMED + ": of the conductivity of all quarters")
    hot_yield: float = known(0.05, "1", ASSUMED)
    off_day: float = known(
        5.0, "1/a", ASSUMED + ": a cow in heat or upset; all her quarters read high for a milking or two"
    )
    off_day_rise: float = known(0.12, "1", ASSUMED + ": median")
    off_day_hours: float = known(13.0, "h", ASSUMED)
    yield_drop: float = known(0.30, "1/a", ASSUMED + ": a cow that goes off her milk for another reason than the udder")
    yield_drop_size: float = known(0.28, "1", ASSUMED)
    yield_drop_days: float = known(6.0, "d", ASSUMED)
    sensor_high: float = known(0.045, "1", ASSUMED + ": a sensor that reads high from some day on")
    teats_stand_mm: float = known(5.0, "mm", ASSUMED + ": where she stands, each visit")
    teats_each_mm: float = known(2.5, "mm", ASSUMED + ": of one teat, each visit")
    teats_drift_mm: float = known(3.0, "mm", ASSUMED + ": slow change of a cow's udder")
    teats_hour_mm: float = known(0.8, "mm/h", ASSUMED + ": a fuller udder hangs lower")
    box_origin_mm: float = known(3.0, "mm", ASSUMED + ": between boxes, each axis")
    calibration_mm: float = known(1.2, "mm", ASSUMED + ": what a routine calibration moves without need")
    forgotten_wipe: float = known(0.04, "1", ASSUMED)
    forgotten_filter: float = known(0.012, "1", ASSUMED)
    forgotten_arm: float = known(0.04, "1", ASSUMED)
    forgotten_wash: float = known(0.004, "1", ASSUMED)
    outages: float = known(8.0, "1/a", ASSUMED + ": hours in which the herd computer writes no visit list")
    outage_h: float = known(3.5, "h", ASSUMED + ": median")
    mistyped: float = known(12.0, "1/a", ASSUMED + ": milk weights put right later")
    tank_fault: float = known(4.0, "1/a", ASSUMED + ": the cooling stops for some hours")
    tank_C: float = known(3.6, "degC", MEMORY + ": a cooled tank stands at 3 to 4")
    bacteria_k_ml: float = known(
        10.0, "1000/ml", "three washes a day: 10, two: 13 (EU automatic-milking project, CORDIS rcn/34696)"
    )
    bacteria_spread: float = known(0.45, "1", ASSUMED + ": of the logarithm")
    dirty: float = known(1.6, "1/a", ASSUMED + ": spells of worn seals or cool wash water")
    dirty_factor: float = known(9.0, "1", ASSUMED)


def listed(part: Any) -> list[dict[str, Any]]:
    """The figures of one part as `name`, `value`, `unit`, `source`; one set otherwise says so instead."""
    figures = []
    for one in fields(part):
        value = getattr(part, one.name)
        source = one.metadata["source"] if value == one.default else f"{ASSUMED}: for this herd, not {one.default}"
        figures.append({"name": one.name, "value": value, "unit": one.metadata["unit"], "source": source})
    return figures


class Figures(NamedTuple):
    """All of them, in reading order."""

    herd: HerdFigures = HerdFigures()
    milk: MilkFigures = MilkFigures()
    udder: UdderFigures = UdderFigures()
    mishaps: MishapFigures = MishapFigures()

    def listed(self) -> list[dict[str, Any]]:
        """Every figure as `name`, `value`, `unit`, `source`; one set otherwise says so in place of its source."""
        return [figure for part in self for figure in listed(part)]


FIGURES = Figures()
"""A herd about as hard as a real one."""
