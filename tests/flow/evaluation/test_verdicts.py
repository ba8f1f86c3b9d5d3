"""What is decided tick by tick from the readings since the last tick is what all readings decide."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from box_herd import BoxHerd, Trouble, day, tables_of

from sentinel.flow.evaluation.held_readings import Began
from sentinel.flow.evaluation.verdicts import Judgement, judge
from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S, HOUR_S, State
from sentinel.flow.rules import load_rules
from sentinel.flow.tables import FarmFacts, Tables

BOXES = Path(__file__).parents[3] / "rules" / "boxes.yaml"
TROUBLE = Trouble(26.3, 27.0, box=1, failed=0.5, attach=0.6, shift_mm=(0.0, 14.0, 0.0))
ROWS = tables_of(BoxHerd(cows=90, days=29, troubles=(TROUBLE,), events=(("2", 27.0, "arm_calibrated"),)))
STEP_S = 2 * HOUR_S


def up_to(at: int) -> Tables:
    """What is known at a moment; box 3 takes no cow after the trouble."""
    visits, log = ROWS.visits, ROWS.box_log
    stopped = ((visits["box"] == "3") & (visits["start"] > day(26.5))).to_numpy(bool)
    known = visits["start"].to_numpy(np.int64) <= at
    return Tables(visits=visits[known & ~stopped].reset_index(drop=True), box_log=log[log["at"] <= at])


def holding(judged: Judgement) -> dict[str, Began]:
    """The subjects for which the rule holds, since when."""
    return {v.subject: Began(v.since or 0) for v in judged.verdicts if v.state is State.HOLDS}


@pytest.mark.parametrize("name", ["box-failures", "herd-failures", "arm-offset", "slow-attach"])
def test_tick_by_tick_as_from_all_readings(name: str) -> None:
    """Over two days with a fault, a repair and a box that stands still, every verdict is the same."""
    rules, _ = load_rules(BOXES.read_text("utf-8"), "boxes.yaml")
    rule = next(rule for rule in rules if rule.name == name)
    measure = measure_named(rule.measure)
    standing: dict[str, Began] = {}
    seen = set()
    for at in range(day(26), day(28.2), STEP_S):
        rows, known = up_to(at), {"visits": at, "box_log": at}
        whole = judge(rule, measure, rows, known, at, standing)
        asked = replace(rows, farm=FarmFacts(asked_from=at - STEP_S - DAY_S))
        part = judge(rule, measure, asked, known, at, standing)

        assert [(v.subject, v.state, v.value) for v in part.verdicts] == [
            (v.subject, v.state, v.value) for v in whole.verdicts
        ]
        assert holding(part) == holding(whole)
        standing = holding(whole)
        seen |= {(v.subject, v.state) for v in whole.verdicts}

    if name != "herd-failures":
        assert {("box:2", State.HOLDS), ("box:2", State.CLEAR)} <= seen
