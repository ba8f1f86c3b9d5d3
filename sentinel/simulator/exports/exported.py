"""What is left of a herd's tables when its exports have been written: some say less than was measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import QUARTER_VALUES, Tables, wide
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import Plan
from sentinel.simulator.spec import Dice


def as_exported(tables: Tables, plan: Plan, exports: ExportPlan, dice: Dice) -> Tables:
    """The tables as anybody can know them from the exports: without what these never say, and what was lost."""
    visits, log, farm = tables.visits, tables.box_log, tables.farm
    for name in exports.unsaid:
        if name == "box_log":
            log, farm = log.iloc[:0], replace(farm, chores=())
        else:
            columns = wide(name) if name in QUARTER_VALUES else (name,)
            visits = visits.assign(**dict.fromkeys(columns, np.nan))
    if plan.lost:
        visits = visits[~never_told(plan, exports, visits["start"])].reset_index(drop=True)
    if plan.log_missed:
        told = dice.of("log missed").random(len(log)) >= plan.log_missed
        log = log[told].reset_index(drop=True)
    return replace(tables, visits=visits, box_log=log, farm=farm)


def never_told(plan: Plan, exports: ExportPlan, starts: pd.Series) -> np.ndarray:
    """Which visits, by their start, stand in no list: those that come hold an hour more than their own time."""
    at, lost = starts.to_numpy(np.int64), np.zeros(len(starts), bool)
    for spell in plan.lost:
        lost |= (at >= spell.start - exports.every_s) & (at < spell.until - exports.every_s - HOUR_S)
    return lost
