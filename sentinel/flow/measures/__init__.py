"""Herd and machine arithmetic: what is computed from the tidy tables, and nothing about thresholds.

A new measure is a function of (tables, per, options) in the module of its family, a `Measure` beside it that says
its unit, formula, source, facts and charts, and its name among the module's `MEASURES`.
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
    *milking.MEASURES,
    *udder.MEASURES,
    *udder_evidence.MEASURES,
    *udder_sensor.MEASURES,
    *yield_share.MEASURES,
    *yield_day.MEASURES,
    *attachment.MEASURES,
    *box_or_cow.MEASURES,
    *arm.MEASURES,
    *attach.MEASURES,
    *usage.MEASURES,
    *machine.MEASURES,
    *cells.MEASURES,
    *recording.MEASURES,
    *tank.MEASURES,
    *tank_means.MEASURES,
    *feeds.MEASURES,
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
