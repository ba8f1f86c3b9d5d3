"""Conditions as hard as on some real farms: by name, what each changes of a herd that is simulated.

A condition is data: it sets figures, the size of the herd, troubles that no other herd has (`Hardness`), and what the
exports hold and how they come (`ExportPlan`). Several may hold at once; of two that set the same, the later decides.
How often a farm is like this is not said here: sizes are chosen so that there is something to count.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from sentinel.errors import UsageError
from sentinel.simulator.figures import Figures
from sentinel.simulator.sources import ASSUMED, known


@dataclass(frozen=True, slots=True)
class Hardness:
    """Troubles that only a condition brings, and how strong they are; as they stand here there are none."""

    ramp_least_h: float = known(0.0, "h", ASSUMED + ": optics take at least so long to become as foul as they get")
    ramp_most_h: float = known(0.0, "h", ASSUMED + ": and at most so long")
    second_fault: float = known(0.0, "1", ASSUMED + ": share of box faults that a second one joins while they last")
    second_same_box: float = known(0.0, "1", ASSUMED + ": of these at the same box, of the other kind")
    bad_day_least_h: float = known(0.0, "h", ASSUMED + ": a bad day of the whole herd lasts at least so long")
    bad_day_most_h: float = known(0.0, "h", ASSUMED + ": and at most so long")
    drifting: float = known(0.0, "1", ASSUMED + ": share of the conductivity sensors that wander off")
    drift_a_day: float = known(0.0, "1/d", ASSUMED + ": median of how far they wander, up or down")
    drift_days: float = known(0.0, "d", ASSUMED + ": median until such a sensor is set right again")
    kicked_when_ill: float = known(0.0, "1", ASSUMED + ": chance that the cup comes off a quarter with a clinical case")
    reading_lost: float = known(0.0, "1", ASSUMED + ": share of the quarters whose cup came off that show no reading")
    log_missed: float = known(0.0, "1", ASSUMED + ": share of the entries that the boxes' logs do not have")
    lost_a_day: float = known(0.0, "1/d", ASSUMED + ": times that some exports never come and nobody sends them again")
    lost_most: float = known(0.0, "1", ASSUMED + ": so many exports in a row at most")


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition: what it means, and what it changes. `cows` and `boxes` decide the herd's size where they are set.

    `figures`, `hardness` and `exports` are by the names of the fields of `Figures`, `Hardness` and `ExportPlan`.
    """

    name: str
    means: str
    cows: int | None = None
    boxes: int | None = None
    figures: Mapping[str, float] = field(default_factory=dict)
    hardness: Mapping[str, float] = field(default_factory=dict)
    exports: Mapping[str, Any] = field(default_factory=dict)


_EVERY = (
    # --- boxes ------------------------------------------------------------------------------------------------
    Condition(
        "more-faults",
        "Boxes are at fault and stand still, and the herd is upset, about twice as often: there is more to count.",
        figures={"arm": 12.0, "optics": 12.0, "disturbed": 18.0, "stopped": 18.0},
    ),
    Condition(
        "slow-optics",
        "Optics become foul more often, and take 19 to 29 h to do so.",
        figures={"optics": 12.0},
        hardness={"ramp_least_h": 19.0, "ramp_most_h": 29.0},
    ),
    Condition(
        "two-faults",
        "While one box is at fault another becomes so, or the same one in another way: its arm and its optics.",
        figures={"arm": 7.0, "optics": 7.0},
        hardness={"second_fault": 0.8, "second_same_box": 0.35},
    ),
    Condition(
        "bad-days",
        "Three days a month the whole herd is upset for 10 to 44 h, and cows fail at every box.",
        figures={"disturbed": 36.0, "disturbed_failed": 0.11},
        hardness={"bad_day_least_h": 10.0, "bad_day_most_h": 44.0},
    ),
    Condition("one-box", "One box and 60 cows: there is no other box to compare with.", cows=60, boxes=1),
    Condition("seven-boxes", "Seven boxes and 420 cows.", cows=420, boxes=7),
    Condition(
        "standstills",
        "Boxes stand still five times as often, and for longer.",
        figures={"stopped": 35.0, "stopped_min": 170.0},
    ),
    Condition(
        "loose-positions",
        "Where the teats are seen scatters more than twice as much from visit to visit.",
        figures={"teats_stand_mm": 12.0, "teats_each_mm": 7.0, "teats_drift_mm": 5.0},
    ),
    # --- sensors and cups -------------------------------------------------------------------------------------
    Condition(
        "noisy-sensors",
        "Conductivity scatters two and a half times as much from reading to reading, with more odd single ones.",
        figures={"reading": 0.028, "milking": 0.018, "odd_high": 0.006, "odd_low": 0.008, "box_sensor": 0.015},
    ),
    Condition(
        "drifting-sensors",
        "Half of the conductivity sensors wander slowly, for weeks, until they are set right again.",
        hardness={"drifting": 0.5, "drift_a_day": 0.004, "drift_days": 25.0},
    ),
    Condition(
        "kicked-cups",
        "Cups come off twice as often, at an ill quarter at four milkings in ten, and half of these show no reading.",
        figures={"incomplete": 0.09},
        hardness={"kicked_when_ill": 0.4, "reading_lost": 0.5},
    ),
    Condition(
        "uneven-yield",
        "A cow's milk scatters nearly twice as much from milking to milking, and wanders more from day to day.",
        figures={"yield_milking": 0.15, "yield_drift": 0.09},
    ),
    # --- what the exports hold --------------------------------------------------------------------------------
    Condition(
        "no-positions", "The exports say nothing of where the teats are.", exports={"unsaid": ("x_mm", "y_mm", "z_mm")}
    ),
    Condition(
        "no-attach-times",
        "The exports say neither how long the cups took nor how many tries.",
        exports={"unsaid": ("attach_s", "attempts")},
    ),
    Condition("no-box-log", "There is no log of the boxes.", exports={"unsaid": ("box_log",)}),
    Condition("sparse-log", "Half of the entries of the boxes' logs are missing.", hardness={"log_missed": 0.5}),
    # --- how the exports come ---------------------------------------------------------------------------------
    Condition("two-hourly", "The visit lists come every two hours.", exports={"every_s": 7200}),
    Condition(
        "missing-exports",
        "Every other day up to four exports in a row never come, and the visits in them are never known.",
        hardness={"lost_a_day": 0.5, "lost_most": 4.0},
    ),
    Condition(
        "rows-in-pieces",
        "A visit comes in two exports: its quarters 25 min after the rest.",
        exports={"split": True, "quarters_after_s": 1500},
    ),
    Condition("files-by-box", "Each box's visits come in an export of their own.", exports={"by_box": True}),
    Condition(
        "in-progress",
        "An export holds the visits that have not ended, as far as they have come; the next one puts them right.",
        exports={"in_progress": True},
    ),
    Condition(
        "unstamped",
        "No export says up to when it is complete: only its newest row does.",
        exports={"stamped": False},
    ),
)

CONDITIONS: Mapping[str, Condition] = {one.name: one for one in _EVERY}
"""All conditions by name."""


def conditions_named(names: Iterable[str]) -> list[Condition]:
    """The conditions of some names. Raises UsageError with all names there are if one is unknown."""
    found = []
    for name in names:
        if name not in CONDITIONS:
            raise UsageError(f'"{name}" is no condition; there are {", ".join(CONDITIONS)}')
        found.append(CONDITIONS[name])
    return found


def figures_in(names: Iterable[str], figures: Figures) -> Figures:
    """The figures of a herd under some conditions."""
    changes: dict[str, float] = {}
    for one in conditions_named(names):
        changes |= one.figures
    if not changes:
        return figures
    herd, milk, udder, mishaps = figures
    return Figures(
        replace(herd, **_of(herd, changes)),
        replace(milk, **_of(milk, changes)),
        replace(udder, **_of(udder, changes)),
        replace(mishaps, **_of(mishaps, changes)),
    )


def hardness_in(names: Iterable[str]) -> Hardness:
    """The further troubles of some conditions."""
    changes: dict[str, float] = {}
    for one in conditions_named(names):
        changes |= one.hardness
    return Hardness(**changes)


def exports_in(names: Iterable[str]) -> dict[str, Any]:
    """What some conditions change of an `ExportPlan`, by its fields; what is unsaid adds up."""
    changes: dict[str, Any] = {}
    for one in conditions_named(names):
        unsaid = (*changes.get("unsaid", ()), *one.exports.get("unsaid", ()))
        changes |= one.exports
        if unsaid:
            changes["unsaid"] = unsaid
    return changes


def _of(part: Any, changes: Mapping[str, float]) -> dict[str, float]:
    """Those of the changes that are fields of one part of the figures."""
    own = {one.name for one in fields(part)}
    return {name: value for name, value in changes.items() if name in own}
