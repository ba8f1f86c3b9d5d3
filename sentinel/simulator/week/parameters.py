"""What the invented herd is made of: every number with its unit and where it comes from.

A source is a publication, "from memory" (known of the trade, not read in a document) or "assumption" (chosen so
that the herd behaves as described). Nothing here is a recommendation for a farm.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from sentinel.simulator.sources import ASSUMED, DAVIS, FOX, HOGEVEEN, MEMORY, SHORT, TREMBLAY, known


@dataclass(frozen=True, slots=True)
class Parameters:
    """The herd's, the boxes' and the people's habits; all times in the unit that ends the name."""

    interval_mean_h: float = known(9.2, "h", HOGEVEEN)
    interval_shape: float = known(3.2, "1", ASSUMED + ": Weibull shape; the spread after fetching is near " + HOGEVEEN)
    interval_wish: float = known(
        0.93, "1", ASSUMED + ": wished over obtained interval; queues and failures add the rest"
    )
    restless_from_h: float = known(12.0, "h", MEMORY + ": a cow past this seeks the box on her own")
    restless_share: float = known(0.15, "1", ASSUMED + ": what is left of a wish beyond that")
    fetch_over_h: float = known(12.0, "h", MEMORY + ": cows past this are brought on the rounds")
    fetched_share: float = known(0.97, "1", ASSUMED)
    fetch_first_min: float = known(10.0, "min", ASSUMED)
    fetch_last_min: float = known(75.0, "min", ASSUMED)
    retry_mean_h: float = known(1.3, "h", ASSUMED + ": the gate sends a cow that was not attached round again")
    again_after_incomplete_h: float = known(2.2, "h", ASSUMED)
    retry_sooner: float = known(0.5, "1", ASSUMED + ": a cow long unmilked is sent round again sooner")
    retry_sooner_from_h: float = known(9.0, "h", ASSUMED)
    sent_on_s: float = known(45.0, "s", ASSUMED + ": stay of a cow that is not due yet")

    failed_share: float = known(0.0376, "1", TREMBLAY + ": 5.5 failed per box and day at 146.45 milkings")
    failed_spread: float = known(60.0, "1", ASSUMED + ": sum of the two beta parameters of a cow's own chance")
    incomplete_share: float = known(0.025, "1", ASSUMED + "; " + SHORT)
    arm_failed_share: float = known(0.25, "1", ASSUMED + ": chance that an arm out of line misses a cow")
    arm_incomplete_share: float = known(0.10, "1", ASSUMED)
    arm_attach_factor: float = known(1.7, "1", ASSUMED)

    attach_median_s: float = known(75.0, "s", MEMORY)
    attach_spread: float = known(0.30, "1", ASSUMED + ": standard deviation of the logarithm")
    leave_s: float = known(35.0, "s", ASSUMED)
    flow_kg_min: float = known(2.5, "kg/min", HOGEVEEN)
    flow_spread_kg_min: float = known(0.5, "kg/min", ASSUMED + "; between milkings .79 in " + HOGEVEEN)
    failed_stay_s: float = known(226.0, "s", DAVIS + ": 3.76 min at failed milkings")
    longest_stay_s: float = known(690.0, "s", ASSUMED + ": the box lets her go")

    yield_kg_h: float = known(1.3, "kg/h", HOGEVEEN)
    yield_spread: float = known(0.17, "1", ASSUMED + ": between cows, beside stage and lactation")
    yield_noise: float = known(0.07, "1", ASSUMED + ": between milkings of a cow")
    rear_share: float = known(0.56, "1", MEMORY + ": the rear quarters give a little more")

    conductivity_mean: float = known(4.7, "mS/cm", ASSUMED + ": about the middle; " + FOX)
    conductivity_low: float = known(4.0, "mS/cm", FOX)
    conductivity_high: float = known(5.5, "mS/cm", FOX)
    conductivity_cows: float = known(0.20, "mS/cm", ASSUMED + ": between cows")
    conductivity_quarters: float = known(0.10, "mS/cm", ASSUMED + ": between quarters of a cow")
    conductivity_day: float = known(0.012, "1", ASSUMED + ": of a quarter from day to day")
    conductivity_herd_day: float = known(0.006, "1", ASSUMED + ": of the whole herd from day to day")
    conductivity_reading: float = known(0.018, "1", ASSUMED + ": of one reading")
    kicked_reading: float = known(0.05, "1", ASSUMED + ": a quarter reads higher when its cup came off early")

    stand_mm: float = known(5.0, "mm", ASSUMED + ": where she stands, each visit")
    teat_mm: float = known(2.5, "mm", ASSUMED + ": of one teat, each visit")

    wash_min: float = known(18.0, "min", ASSUMED)
    tank_C: float = known(3.6, "degC", MEMORY + ": a cooled tank stands at 3 to 4")


def with_sources(parameters: Parameters) -> list[dict[str, Any]]:
    """Every parameter as `name`, `value`, `unit`, `source`, in order."""
    return [
        {
            "name": f.name,
            "value": getattr(parameters, f.name),
            "unit": f.metadata["unit"],
            "source": f.metadata["source"],
        }
        for f in fields(parameters)
    ]
