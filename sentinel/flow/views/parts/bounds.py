"""The figure past which a rule would raise an alert on a subject now: pages draw it beside the readings."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import attributes_at, herd_changes
from sentinel.flow.evaluation.rule_bounds import bounds_at
from sentinel.flow.measures.base.shape import Measure, Option
from sentinel.flow.model import Subject, kind_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables


def bound_for(
    measure: str, subject: Subject, rules: Mapping[str, Rule], tables: Tables, at: int
) -> tuple[float, str] | None:
    """The raising bound of the first rule on a measure for a subject at a moment, with its unit.

    None if no rule is on it, or none that applies to the subject then.
    """
    row = pd.DataFrame({"subject": [subject], "at": np.array([at], np.int64)})
    for rule in rules.values():
        if rule.measure == measure and rule.per == kind_of(subject):
            bounds = bounds_at(rule, attributes_at(rule, row, herd_changes(tables), tables), 1)
            if bounds.applies[0] and np.isfinite(bounds.raise_past[0]):
                return bounds.sign * float(bounds.raise_past[0]), rule.unit
    return None


def option_of(measure: Measure, option: Option, rules: Mapping[str, Rule]) -> float | None:
    """An option of a measure as the first rule on it has it; None if no rule is on it."""
    on_it = (rule for rule in rules.values() if rule.measure == measure.name)
    return next((measure.settings(rule.options)[option.name] for rule in on_it), None)
