"""Conditions: each changes what it says and leaves the rest; several may hold; a herd without one is as it was."""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pandas as pd
import pytest

from sentinel.errors import UsageError
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import wide
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.conditions import CONDITIONS, Hardness, exports_in, figures_in, hardness_in
from sentinel.simulator.figures import FIGURES
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import ARM, CLINICAL, OPTICS, Plan
from sentinel.simulator.simulation import plan_of
from sentinel.simulator.spec import Calendar

CONDUCTIVITY = wide("conductivity_mS_cm")


@cache
def herd(*conditions: str) -> Simulated:
    """Forty cows, two boxes, twenty days, under some conditions."""
    return simulate(HerdSpec(40, 2, 20, 5, conditions=conditions))


def plan(*conditions: str, seed: int = 3) -> Plan:
    """What is planned for ninety cows at three boxes over 120 days."""
    return plan_of(HerdSpec(90, 3, 120, seed, conditions=conditions))


# --- the table ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CONDITIONS)
def test_each_condition_changes_something_that_exists(name: str) -> None:
    """Its names are fields of what it changes, its values other ones than without, and its sentence is one."""
    one = CONDITIONS[name]
    figures = {figure["name"]: figure["value"] for figure in FIGURES.listed()}
    before = {**figures, **{n: getattr(Hardness(), n) for n in Hardness.__slots__}}
    plan_before = ExportPlan(0)

    assert all(before[n] != value for n, value in {**one.figures, **one.hardness}.items())
    assert all(getattr(plan_before, n) != value for n, value in one.exports.items())
    assert one.figures or one.hardness or one.exports or one.boxes
    assert one.means.endswith(".")
    assert not (set(one.figures) & set(Hardness.__slots__))


def test_several_at_once_add_up() -> None:
    """Figures and further troubles of both; what is unsaid adds up; of two that set the same the later decides."""
    both = ("slow-optics", "two-faults")
    mishaps = figures_in(both, FIGURES).mishaps

    assert (mishaps.arm, mishaps.optics) == (7.0, 7.0)
    assert figures_in(both[::-1], FIGURES).mishaps.optics == 12.0
    assert (hardness_in(both).ramp_most_h, hardness_in(both).second_fault) == (29.0, 0.8)
    assert set(exports_in(("no-positions", "no-box-log"))["unsaid"]) == {"x_mm", "y_mm", "z_mm", "box_log"}
    assert figures_in((), FIGURES) is FIGURES


def test_an_unknown_condition_is_one_sentence() -> None:
    """All there are stand in it."""
    with pytest.raises(UsageError, match="slow-optics"):
        HerdSpec(conditions=("slow",))


def test_the_truth_tells_the_conditions_and_no_others_do() -> None:
    """By name and sentence, with the figures that they set; without conditions there is no word of them."""
    truth, plain = herd("two-faults").truth, herd().truth
    figures = {one["name"]: one["value"] for one in truth["parameters"]}

    assert [one["name"] for one in truth["conditions"]] == ["two-faults"]
    assert (figures["arm"], figures["second_fault"]) == (7.0, 0.8)
    assert "conditions" not in plain
    assert "second_fault" not in {one["name"] for one in plain["parameters"]}


# --- boxes -------------------------------------------------------------------------------------------------


def test_slow_optics_take_19_to_29_hours() -> None:
    """Every ramp, and the fault outlasts it; without, most are shorter."""
    slow = [one for one in plan("slow-optics").faults if one.kind == OPTICS]
    usual = [one for one in plan().faults if one.kind == OPTICS]

    assert len(slow) > 5
    assert all(19 * HOUR_S <= one.grow_s <= 29 * HOUR_S for one in slow)
    assert all(one.until >= one.start + one.grow_s + 8 * HOUR_S for one in slow)
    assert np.median([one.grow_s for one in usual]) < 19 * HOUR_S


def test_two_faults_overlap_at_two_boxes_or_at_one() -> None:
    """There are pairs at two boxes, and of an arm and optics at one; without the condition none at one."""

    def pairs(faults: Plan) -> list[bool]:
        """Whether the boxes are the same, for each two faults that stand at the same time."""
        by_time = sorted(faults.faults, key=lambda one: one.start)
        return [a.box == b.box for a, b in combinations(by_time, 2) if b.start < a.until and a.start < b.until]

    planned = [plan("two-faults", seed=seed) for seed in (3, 4, 5)]
    found = [same for one in planned for same in pairs(one)]

    assert found.count(False) > 10
    assert found.count(True) > 3
    for one in planned:
        for first, second in combinations(one.faults, 2):
            if first.box == second.box and second.start < first.until and first.start < second.until:
                assert {first.kind, second.kind} == {ARM, OPTICS}
    assert True not in pairs(plan())


def test_both_faults_of_a_box_have_their_effect() -> None:
    """While an arm and optics are at fault at one box, about as many cows are missed as by both chances together."""
    spec = HerdSpec(120, 3, 60, 1, conditions=("two-faults",))
    planned, visits = plan_of(spec), simulate(spec).tables.visits
    tried = visits[visits["outcome"] != "refused"]
    usual = (tried["outcome"] == "failed").mean()
    missed, by_both, by_one = 0, 0.0, 0.0
    for arm in (one for one in planned.faults if one.kind == ARM):
        for optics in (one for one in planned.faults if one.kind == OPTICS and one.box == arm.box):
            since, until = max(arm.start, optics.start), min(arm.until, optics.until)
            here = tried[(tried["box"] == spec.box_names[arm.box]) & tried["start"].between(since, until)]
            missed += int((here["outcome"] == "failed").sum())
            for at in here["start"]:
                fouled = optics.grown(at) * optics.failed
                by_both += 1 - (1 - usual) * (1 - arm.failed) * (1 - fouled)
                by_one += 1 - (1 - usual) * (1 - max(arm.failed, fouled))

    assert by_one > 10, "no such hours in this herd"
    assert abs(missed - by_both) < 3 * np.sqrt(by_both)
    assert abs(missed - by_both) < abs(missed - by_one)


def test_bad_days_are_more_and_longer() -> None:
    """Ten to 44 h, apart by a day; and cows fail at every box of the herd in them."""
    bad, usual = plan("bad-days").disturbed, plan().disturbed
    hours = [(one.until - one.start) / HOUR_S for one in bad]
    simulated = simulate(HerdSpec(40, 2, 60, 5, conditions=("bad-days",)))
    visits = simulated.tables.visits
    tried = visits[visits["outcome"] != "refused"]
    spells = plan_of(simulated.spec).disturbed
    inside = np.logical_or.reduce([tried["start"].between(one.start, one.until) for one in spells])
    share = tried.assign(failed=tried["outcome"] == "failed", bad=inside).groupby(["box", "bad"])["failed"].mean()

    assert len(bad) > len(usual) > 0
    assert 10 <= min(hours) < 20
    assert 30 < max(hours) <= 44
    assert all(after.start > before.until + DAY_S for before, after in pairwise(bad))
    assert len(spells) > 0
    assert all(share[box, True] > 1.5 * share[box, False] for box in ("1", "2"))


@pytest.mark.parametrize(("name", "size"), [("one-box", (60, 1)), ("seven-boxes", (420, 7))])
def test_a_condition_decides_the_herds_size(name: str, size: tuple[int, int]) -> None:
    """Whatever was asked for."""
    spec = HerdSpec(180, 3, conditions=(name,))

    assert (spec.cows, spec.boxes) == size


def test_standstills_are_more_and_longer() -> None:
    """Several times as many that should be told."""

    def long(one: Plan) -> int:
        return sum(stop.until - stop.start > 90 * 60 for stop in one.stops)

    assert long(plan("standstills")) > 3 * max(long(plan()), 1)


# --- sensors, positions and cups -----------------------------------------------------------------------------


def scatter(simulated: Simulated, columns: list[str]) -> float:
    """Median over cows of the spread from visit to visit of a column: of the differences of one and the next."""
    visits = simulated.tables.visits
    spread = [float(np.nanstd(visits.loc[visits["cow"] == cow, columns[0]].diff())) for cow in visits["cow"].unique()]
    return float(np.median(spread))


def test_noisy_sensors_scatter_more() -> None:
    """At least half as much again, from milking to milking of a quarter."""
    assert scatter(herd("noisy-sensors"), CONDUCTIVITY) > 1.5 * scatter(herd(), CONDUCTIVITY)


@pytest.mark.parametrize("axis", ["x_mm", "y_mm", "z_mm"])
def test_loose_positions_scatter_more(axis: str) -> None:
    """About twice as much on every axis."""
    assert scatter(herd("loose-positions"), wide(axis)) > 1.8 * scatter(herd(), wide(axis))


def test_uneven_yield_scatters_more() -> None:
    """By half at least, from whole milking to whole milking of a cow, in kilos an hour."""

    def spread(simulated: Simulated) -> float:
        visits = simulated.tables.visits
        whole = visits[visits["outcome"] == "milked"].sort_values(["cow", "start"])
        by_cow = whole.groupby("cow")
        rate = np.log(whole["milk_kg"] / by_cow["start"].diff())
        return float(rate.groupby(whole["cow"]).std().median())

    assert spread(herd("uneven-yield")) > 1.3 * spread(herd())


def test_drifting_sensors_wander() -> None:
    """Half of the places do, and what they read ends where the drift says, beside the same herd without."""
    spec = HerdSpec(40, 2, 60, 5, conditions=("drifting-sensors",))
    drifts = [one for one in plan_of(spec).sensors if one.a_day]
    with_drift, without = simulate(spec).tables.visits, simulate(HerdSpec(40, 2, 60, 5)).tables.visits

    pd.testing.assert_frame_equal(with_drift[["cow", "start", "box"]], without[["cow", "start", "box"]])
    assert 1 < len(drifts) < 8
    assert any(item["kind"] == "sensor-drifts" for item in simulate(spec).items)
    for one in drifts:
        column = CONDUCTIVITY[one.quarter]
        alone = [s for s in plan_of(spec).sensors if s is not one and (s.box, s.quarter) == (one.box, one.quarter)]
        last = (with_drift["box"] == spec.box_names[one.box]) & with_drift["start"].between(
            one.until - DAY_S, one.until - 1
        )
        if not any(s.start < one.until and one.until - DAY_S < s.until for s in alone):
            rise = (with_drift.loc[last, column] / without.loc[last, column]).median() - 1
            days = (one.until - one.start) / DAY_S - 0.5
            assert rise == pytest.approx(one.a_day * days, abs=0.01)


def test_cups_come_off_in_the_middle_of_an_episode() -> None:
    """At an ill quarter often, with readings on both sides; half of these are missing; elsewhere twice as often."""
    spec = HerdSpec(150, 3, 60, 4, conditions=("kicked-cups",))
    visits = simulate(spec).tables.visits
    usual = simulate(HerdSpec(150, 3, 60, 4)).tables.visits
    cows = simulate(spec).items
    off, missing, milkings, between = 0, 0, 0, 0
    for item in (one for one in cows if one["kind"] == "cup-kicked-off"):
        cow, quarter = item["subject"].removeprefix("quarter:").split("/")
        since, until = (pd.Timestamp(item[name]).timestamp() for name in ("from", "until"))
        hers = visits[(visits["cow"] == cow) & visits["milk_kg"].notna() & visits["start"].between(since, until)]
        hers = hers[hers["outcome"].isin(["milked", "incomplete"])]
        kicked = hers[f"{quarter.lower()}_kicked_off"].to_numpy(float) == 1.0
        lost = hers[f"{quarter.lower()}_conductivity_mS_cm"].isna().to_numpy()
        off, missing, milkings = off + kicked.sum(), missing + lost.sum(), milkings + len(hers)
        between += sum(lost[n] and not lost[n - 1] and not lost[n + 1] for n in range(1, len(lost) - 1))
        assert not (lost & ~kicked).any()

    assert off / milkings > 0.3
    assert 0.3 < missing / off < 0.7
    assert between > 3
    incomplete = [(one["outcome"] == "incomplete").mean() for one in (visits, usual)]
    assert incomplete[0] > 1.6 * incomplete[1]


def test_a_clinical_case_is_where_cups_come_off() -> None:
    """For each clinical case of the plan there are its kicks, and no others."""
    planned = plan("kicked-cups")
    clinical = [(one.place, one.quarter, one.start) for one in planned.udder if one.kind == CLINICAL]

    assert sorted((one.place, one.quarter, one.start) for one in planned.kicks) == sorted(clinical)
    assert plan().kicks == ()


# --- what the exports hold -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "columns"),
    [("no-positions", wide("x_mm") + wide("z_mm")), ("no-attach-times", ["attach_s", "attempts"])],
)
def test_what_is_unsaid_is_in_no_row(name: str, columns: list[str]) -> None:
    """And nothing else is missing or another."""
    without, whole = herd(name).tables.visits, herd().tables.visits
    rest = [column for column in whole if column not in columns and not column.endswith("_mm")]

    assert without[columns].isna().all().all()
    assert whole[columns].notna().any().all()
    pd.testing.assert_frame_equal(without[rest], whole[rest])


def test_logs_are_missing_or_sparse() -> None:
    """No entry, and no chores that could be seen in it; or about half of them."""
    whole, sparse, none = (herd(*names).tables for names in ((), ("sparse-log",), ("no-box-log",)))

    assert len(none.box_log) == 0
    assert none.farm.chores == ()
    assert 0.4 < len(sparse.box_log) / len(whole.box_log) < 0.6
    assert set(map(tuple, sparse.box_log[["box", "at"]].to_numpy())) < set(
        map(tuple, whole.box_log[["box", "at"]].to_numpy())
    )


def test_missing_exports_lose_visits() -> None:
    """A few in a hundred, all at hours that stand in the truth; a single export that is missing loses none."""
    simulated, whole = herd("missing-exports"), herd().tables.visits
    lost = whole[~whole["start"].isin(set(simulated.tables.visits["start"]))]
    spells = simulated.mishaps.lost

    assert 0.005 < len(lost) / len(whole) < 0.1
    for at in lost["start"]:
        assert any(one.start - HOUR_S <= at < one.until - 2 * HOUR_S for one in spells)
    assert {item["figures"]["exports"] for item in simulated.items if item["kind"] == "exports-lost"} <= {1, 2, 3, 4}
    assert Calendar.of(simulated.spec).begin + 10 * DAY_S <= min(one.start for one in spells) + HOUR_S
