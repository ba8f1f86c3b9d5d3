"""Herd and machine arithmetic: what is computed from the tidy tables, and nothing about thresholds.

A new measure is a function of (tables, per, options) in the module of its family, a `Measure` beside it that says
its unit, formula, source, facts and charts, and its name among the module's `MEASURES`.
"""

from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.measures.boxes import (
    arm_offset,
    attach_drift,
    upkeep,
    usage,
)
from sentinel.flow.measures.boxes.failures import failed_attachments, failures_beyond_chance
from sentinel.flow.measures.cells import cow_cells, recording, recording_high_cows
from sentinel.flow.measures.milking import lateness, yield_day, yield_drop, yield_share
from sentinel.flow.measures.system import health, unread
from sentinel.flow.measures.tank import means, results
from sentinel.flow.measures.udder import conductivity, evidence, sensor
from sentinel.flow.yaml.text import did_you_mean

MEASURES: tuple[Measure, ...] = (
    *lateness.MEASURES,
    *conductivity.MEASURES,
    *evidence.MEASURES,
    *sensor.MEASURES,
    *yield_share.MEASURES,
    *yield_day.MEASURES,
    *yield_drop.MEASURES,
    *failed_attachments.MEASURES,
    *failures_beyond_chance.MEASURES,
    *arm_offset.MEASURES,
    *attach_drift.MEASURES,
    *usage.MEASURES,
    *upkeep.MEASURES,
    *cow_cells.MEASURES,
    *recording.MEASURES,
    *recording_high_cows.MEASURES,
    *results.MEASURES,
    *means.MEASURES,
    *health.MEASURES,
    *unread.MEASURES,
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
