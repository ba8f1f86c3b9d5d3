"""Herd and machine arithmetic: what is computed from the tidy tables, and nothing about thresholds.

A new measure is a function of (tables, per, options) in the module of its family, a `Measure` beside it that says
its unit, formula and source, and one line here.
"""

from sentinel.flow.measures import (
    arm,
    attach,
    attachment,
    box_or_cow,
    cells,
    feeds,
    machine,
    milking,
    recording,
    tank,
    tank_means,
    udder,
    udder_evidence,
    udder_sensor,
    usage,
    yield_day,
    yield_share,
)
from sentinel.flow.measures.shape import Measure
from sentinel.flow.yaml_text import did_you_mean

MEASURES: tuple[Measure, ...] = (
    milking.HOURS_SINCE_MILKING,
    milking.LATE_SHARE,
    udder.CONDUCTIVITY_RISE_PCT,
    udder.CONDUCTIVITY_RATIO,
    udder_evidence.CONDUCTIVITY_EWMA,
    udder_evidence.UDDER_EVIDENCE,
    udder_sensor.STUCK_READINGS,
    yield_share.YIELD_SHARE_PCT,
    yield_day.YIELD_24H_KG,
    yield_day.MILKINGS_A_DAY,
    yield_day.YIELD_DROP_PCT,
    attachment.FAILED_ATTACHMENTS,
    box_or_cow.FAILURES_BEYOND_CHANCE,
    arm.ARM_OFFSET_MM,
    attach.ATTACH_DRIFT_PCT,
    usage.FAILED_SHARE_PCT,
    usage.VISITS_NUMBER,
    usage.BOX_MINUTES,
    usage.VISITS_ELSEWHERE,
    machine.HOURS_SINCE_FILTER,
    machine.MILKINGS_SINCE_FILTER,
    machine.BOX_QUIET_MIN,
    machine.HOURS_SINCE_CHORE,
    cells.COW_CELLS_K_ML,
    cells.COW_TESTS_OVER,
    recording.COW_CELLS_SHARE_PCT,
    recording.HERD_CELLS_K_ML,
    tank.TANK_CELLS_K_ML,
    tank.TANK_BACTERIA_K_ML,
    tank.MILK_TEMPERATURE_C,
    tank_means.TANK_CELLS_MEAN_K_ML,
    tank_means.TANK_CELLS_MONTHLY_MEAN_K_ML,
    tank_means.TANK_BACTERIA_MEAN_K_ML,
    feeds.FEED_QUIET_MIN,
    feeds.ROWS_SET_ASIDE,
    feeds.UNDELIVERED_NOTICES,
    feeds.RULE_BLIND_H,
)
"""Every measure a rule may name."""

_BY_NAME = {measure.name: measure for measure in MEASURES}


def measure_named(name: str) -> Measure:
    """The measure of that name; KeyError with a sentence that suggests the nearest name if there is none.

    >>> measure_named("late_share").unit
    '%'
    >>> measure_named("late_shar")
    Traceback (most recent call last):
    KeyError: 'late_shar: there is no such measure (did you mean "late_share"?)'
    """
    if name not in _BY_NAME:
        raise KeyError(f"{name}: there is no such measure{did_you_mean(name, _BY_NAME)}")
    return _BY_NAME[name]
