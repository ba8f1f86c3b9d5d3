"""Is it the box or the cow? Failures beyond chance, how often chance raises them, and the ranked suspects."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest
from box_herd import START, BoxHerd, Trouble, day, hours_after, tables_of
from text_tables import asked

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.chance import chance_of_at_least, ratio_interval
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.failures.failure_chance import UNIT, times_failed_before
from sentinel.flow.measures.boxes.failures.shiryaev_roberts import grown
from sentinel.flow.measures.boxes.failures.suspects import suspects_of
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import FarmFacts, Tables

BIG = BoxHerd(cows=120, days=30, seed=3)
ARM = Trouble(26.3, 27.3, box=1, failed=0.4, attach=0.5, shift_mm=(0.0, 14.0, 0.0))
OPTICS = Trouble(26.3, 27.3, box=1, failed=0.4, attach=0.6)
ALL_BOXES = Trouble(26.3, 27.3, failed=0.4)
ONE_COW = Trouble(25.0, 28.0, cow=7, failed=0.9)


@cache
def herd(made: BoxHerd) -> Tables:
    """The tables of a herd, made once."""
    return tables_of(made)


def readings(rows: Tables, per: str = "box", measure: str = "failures_beyond_chance") -> pd.DataFrame:
    """The readings of a measure with its default options."""
    one = measure_named(measure)
    return asked(one.compute(rows, per, one.settings({})).frame)


def of(frame: pd.DataFrame, subject: str, start: float, until: float) -> pd.DataFrame:
    """The readings of a subject between two days of the herd."""
    mine = frame["subject"] == subject
    return frame[mine & (frame["at"] >= day(start)) & (frame["at"] < day(until))]


def strongest(frame: pd.DataFrame, subject: str, start: float = 26.3, until: float = 27.3) -> pd.Series:
    """The reading with the most evidence."""
    mine = of(frame, subject, start, until)
    return mine.loc[mine["value"].idxmax()]


def first_over(frame: pd.DataFrame, subject: str, bound: float, start: float) -> float:
    """Hours from a day until the first reading over a bound."""
    mine = of(frame, subject, start, 99)
    return hours_after(int(mine["at"][mine["value"] > bound].iloc[0]), start)


# --- the chance of one try -------------------------------------------------------------------------------


def test_what_is_judged_is_not_in_its_own_expectation() -> None:
    """Whatever fails today and yesterday, the chances of first tries are the same."""
    rows = herd(BIG)
    late = (rows.visits["start"].to_numpy() >= day(28)) & (rows.visits["outcome"] != "refused").to_numpy()
    all_failed = rows.visits.assign(outcome=np.where(late, "failed", rows.visits["outcome"]))
    usual, worse = (Case.of(replace(rows, visits=visits)).tries for visits in (rows.visits, all_failed))
    first = times_failed_before(worse.at, worse.cow, worse.failed) == 0

    assert worse.failed[first & (worse.at >= day(28))].all()
    assert np.array_equal(usual.own[first], worse.own[first])


def test_a_cow_that_often_fails_is_expected_to() -> None:
    """Of cows with known chances, those that fail more have higher estimates, and each herd's sum comes out."""
    tries = Case.of(herd(replace(BIG, worth=8.0))).tries
    late = (tries.at > day(26)) & (times_failed_before(tries.at, tries.cow, tries.failed) == 0)
    chance = tries.own[late] / UNIT
    often = chance > np.quantile(chance, 0.8)

    assert tries.failed[late][often].mean() > 3 * tries.failed[late][~often].mean()
    assert chance.sum() == pytest.approx(tries.failed[late].sum(), rel=0.35)


def test_a_try_again_is_expected_to_fail_more_often() -> None:
    """A try within 12 h of a failure counts as a try again, one after a success or much later does not."""
    at = np.array([0, 2, 4, 6, 30, 31]) * HOUR_S
    failed = np.array([True, True, False, True, False, False])

    assert times_failed_before(at, np.zeros(6, np.int64), failed).tolist() == [0, 1, 2, 0, 0, 0]


def test_a_new_farm_takes_the_usual_figure() -> None:
    """On the first day, with no record, every first try has the survey's 5.5 of 146.45."""
    rows = herd(BoxHerd(days=12))
    tries = Case.of(replace(rows, visits=rows.visits[rows.visits["start"] < day(1)])).tries
    first = times_failed_before(tries.at, tries.cow, tries.failed) == 0

    assert tries.own[first] / UNIT == pytest.approx(np.full(int(first.sum()), 5.5 / 146.45), abs=1e-6)


# --- false alarms ----------------------------------------------------------------------------------------


def alarms(value: np.ndarray, bound: float) -> int:
    """How often a bound is passed, counting anew after the evidence has fallen to a tenth of it."""
    count, up = 0, False
    for one in value.tolist():
        if not up and one > bound:
            count, up = count + 1, True
        elif up and one < 0.1 * bound:
            up = False
    return count


@pytest.mark.parametrize("months", [0.5, 1.0, 3.0])
def test_chance_alone_raises_no_more_often_than_stated(months: float) -> None:
    """Over 15 box-years with nothing wrong there is at most one alarm in so many months, within the simulation's error.

    And not far fewer: the bound is not an empty promise.
    """
    rng = np.random.default_rng(2024)
    boxes, days, a_day = 3, 5 * 365, 90
    n = days * a_day
    at = np.concatenate([np.sort(rng.integers(0, days * DAY_S, n)) for _ in range(boxes)])
    chance = np.clip(rng.beta(0.4, 9.6, boxes * n), 0.002, 0.9)
    failed = rng.random(boxes * n) < chance
    month = a_day * 365.25 / 12
    most, every = np.full(boxes * n, 240 * month), np.ones(boxes * n, bool)
    box = np.repeat(np.arange(boxes), n)
    found = grown(box, at, chance, failed, most, counts=every, asked=np.arange(boxes * n))
    stated = boxes * days / 30.4375 / months
    count = sum(alarms(found.sum[box == one] / month, months) for one in range(boxes))

    assert count <= stated + 3 * np.sqrt(stated)
    assert count >= 0.3 * stated - 3 * np.sqrt(stated)


def test_a_year_of_a_herd_with_nothing_wrong() -> None:
    """The same of the whole measure, with chances that it must find out for itself."""
    made = BoxHerd(cows=90, days=365, seed=7, positions=False, times=False, worth=12.0)
    frame = readings(herd(made))
    stated = 3 * 12 / 1.0
    count = sum(alarms(frame["value"][frame["subject"] == f"box:{one}"].to_numpy(), 1.0) for one in (1, 2, 3))

    assert count <= stated + 3 * np.sqrt(stated)


# --- evidence and its figures ----------------------------------------------------------------------------


def test_a_bad_box_is_found_and_the_others_are_not() -> None:
    """A box that misses four of ten passes three years of chance within 12 h; the others stay under two."""
    frame = readings(herd(replace(BIG, troubles=(ARM,))))

    assert first_over(frame, "box:2", 36, 26.3) < 12
    assert of(frame, "box:1", 26, 28)["value"].max() < 24
    assert of(frame, "box:3", 26, 28)["value"].max() < 24


def test_the_figures_are_those_of_the_window() -> None:
    """Failures, visits and expectation of the strongest reading are what counting the rows by hand gives."""
    rows = herd(replace(BIG, troubles=(ARM,)))
    found = strongest(readings(rows), "box:2")
    tries = Case.of(rows).tries
    mine = (tries.who.boxes[tries.box] == "2") & (tries.at >= found["first_at"]) & (tries.at <= found["at"])
    chance = tries.now[mine] / UNIT

    assert (found["failed"], found["visits"]) == (tries.failed[mine].sum(), mine.sum())
    assert found["expected"] == pytest.approx(chance.sum(), abs=0.051)
    assert found["chance"] == pytest.approx(chance_of_at_least([found["failed"]], [chance])[0], rel=1e-9)
    assert found["ratio"] == pytest.approx(found["failed"] / chance.sum(), abs=0.0051)
    limits = ratio_interval(int(found["failed"]), float(chance.sum()))
    assert (found["ratio_low"], found["ratio_high"]) == pytest.approx(limits, abs=0.0051)


def test_the_window_begins_where_the_trouble_did() -> None:
    """The first visit of the window lies within 6 h of the beginning of the trouble, not in the days before."""
    found = strongest(readings(herd(replace(BIG, troubles=(ARM,)))), "box:2")

    assert abs(hours_after(int(found["first_at"]), 26.3)) < 6


def test_evidence_falls_soon_after_the_trouble_is_over() -> None:
    """A day after the trouble nothing is left of it."""
    frame = readings(herd(replace(BIG, troubles=(ARM,))))

    assert of(frame, "box:2", 28.4, 29.4)["value"].max() < 18


# --- suspects --------------------------------------------------------------------------------------------


def names(found: pd.Series) -> list[str]:
    """The suspects' names in order."""
    return [one["name"] for one in found["suspects"]]


def test_weights_sum_to_one_and_every_suspect_is_there() -> None:
    """Whatever is found, each of the five has a weight, in order, and together they are 1."""
    frame = readings(herd(replace(BIG, troubles=(ARM,))))
    ranked = [found for found in frame["suspects"] if found]

    assert len(ranked) > 20
    for found in ranked:
        weights = [one["weight"] for one in found]
        assert {one["name"] for one in found} == {"arm", "optics", "cow", "herd", "unknown"}
        assert round(sum(weights), 9) == 1 and weights == sorted(weights, reverse=True)


def test_a_shift_points_to_the_arm() -> None:
    """Failures with all teats seen to one side: the arm, how far, which way, and what to check."""
    found = strongest(readings(herd(replace(BIG, troubles=(ARM,)))), "box:2")

    assert names(found)[0] == "arm" and found["suspects"][0]["weight"] > 0.9
    assert found["likeliest"] == "the arm"
    said = found["suspect"]
    assert "to the left of where the other boxes see them: check the arm's rest position" in said
    assert 11 <= int(said.split()[2]) <= 17


def test_left_is_left_however_the_export_counts() -> None:
    """An export that counts the other way across the cow says the same side."""
    rows = herd(replace(BIG, troubles=(ARM,)))
    across = [name for name in rows.visits if name.endswith("_y_mm")]
    mirrored = replace(rows, visits=rows.visits.assign(**{name: -rows.visits[name] for name in across}))

    assert strongest(readings(mirrored), "box:2")["suspect"] == strongest(readings(rows), "box:2")["suspect"]


def test_slow_attaching_without_a_shift_points_to_the_optics() -> None:
    """Failures and longer attach times, teats where they were: the optics."""
    found = strongest(readings(herd(replace(BIG, troubles=(OPTICS,)))), "box:2")

    assert names(found)[0] == "optics"
    assert found["suspect"].startswith("cups take ") and "check the optics" in found["suspect"]


def test_easing_after_a_wipe_points_to_the_optics() -> None:
    """The same failures, over from the moment of a wipe on, make the optics likelier than if nobody had wiped."""
    trouble = replace(OPTICS, until=26.8, attach=0.15)
    window = np.array([1]), np.array([day(26.3)]), np.array([day(27.1)])
    weight = {}
    for wiped in (True, False):
        events = (("2", 26.8, "optics_cleaned"),) if wiped else (("2", 20.0, "optics_cleaned"),)
        rows = herd(replace(BIG, troubles=(trouble,), events=events))
        [found] = suspects_of(Case.of(rows), *window)
        weight[wiped] = {one["name"]: one["weight"] for one in found.now().suspects}["optics"]

    assert weight[True] > weight[False] + 0.05


def test_a_cow_that_fails_everywhere_is_not_the_boxes_fault() -> None:
    """A cow that no box attaches raises no box, and is the first suspect where she failed."""
    rows = herd(replace(BIG, troubles=(ONE_COW,)))
    frame = readings(rows)
    window = np.array([0]), np.array([day(25)]), np.array([day(28)])
    [found] = suspects_of(Case.of(rows), *window)

    assert of(frame, "box:1", 25, 28)["value"].max() < 24
    assert found.now().suspects[0]["name"] == "cow"
    said = found.now().sentence
    failed = rows.visits[rows.visits["start"].between(day(25), day(28)) & (rows.visits["outcome"] == "failed")]
    assert said.startswith(f"cow {failed['cow'].mode()[0]} failed ") and "at other boxes: look at her" in said


def test_all_boxes_at_once_is_the_herd() -> None:
    """The herd's own reading passes a year of chance; in time every box that is suspected names the herd first."""
    rows = herd(replace(BIG, troubles=(ALL_BOXES,)))
    whole = strongest(readings(rows, "herd"), "herd")
    boxes = readings(rows)
    notable = [f for box in ("box:1", "box:2") for f in of(boxes, box, 26.7, 27.3)["suspects"] if f]

    assert whole["value"] > 12
    assert names(whole)[0] == "herd" and "all boxes" in whole["suspect"]
    assert len(notable) > 20
    assert all(found[0]["name"] == "herd" for found in notable)


def test_one_bad_box_is_not_the_herd() -> None:
    """What is left of the evidence without the bad box stays under a year of chance."""
    frame = readings(herd(replace(BIG, troubles=(ARM,))), "herd")

    assert of(frame, "herd", 26, 28)["value"].max() < 12


# --- what cannot be told ---------------------------------------------------------------------------------


def test_one_box_says_that_the_herd_cannot_be_told() -> None:
    """With one box the failures, the arm and the rest are judged as ever; herd or box is said not to be told."""
    rows = herd(BoxHerd(cows=50, boxes=1, troubles=(replace(ARM, box=0),)))
    found = strongest(readings(rows), "box:1")
    whole = readings(rows, "herd")

    assert found["value"] > 36
    assert names(found)[0] == "arm"
    assert "where this box saw them before" in found["suspect"]
    assert found["suspect"].endswith("with only one box, the herd cannot be told from the box")
    assert whole["value"].isna().all()
    assert set(whole["why"]) == {"with only one box, the herd cannot be told from the box"}


def test_without_positions_arm_and_optics_are_not_told_apart() -> None:
    """With attach times only, slow attaching is said, and that it may be the arm or the optics."""
    found = strongest(readings(herd(replace(BIG, troubles=(ARM,), positions=False))), "box:2")

    assert found["value"] > 36
    assert found["likeliest"] == "the arm or the optics"
    assert found["suspect"].startswith("cups take ")
    assert found["suspect"].endswith("with no teat positions from this box, arm and optics cannot be told apart")


def test_without_attach_times_the_arm_is_still_found() -> None:
    """With positions only a shift is seen, and the optics are said not to be judged."""
    found = strongest(readings(herd(replace(BIG, troubles=(ARM,), times=False))), "box:2")
    optics = next(one for one in found["suspects"] if one["name"] == "optics")

    assert names(found)[0] == "arm"
    assert optics["said"] == "too few attach times from this box to judge its optics"


def test_without_both_it_says_so() -> None:
    """With neither, the failures are judged and it is said what is missing."""
    found = strongest(readings(herd(replace(BIG, troubles=(ARM,), positions=False, times=False))), "box:2")

    assert found["value"] > 36
    assert "with no teat positions and no attach times from this box" in found["suspect"]


# --- bulk, tick by tick, and only what is asked ----------------------------------------------------------

MEASURES = [
    ("failures_beyond_chance", "box"),
    ("failures_beyond_chance", "herd"),
    ("arm_offset_mm", "box"),
    ("attach_drift_pct", "box"),
]
BUSY = replace(
    BIG,
    cows=40,
    days=44,
    troubles=(
        replace(ARM, start=38.2, until=39.0),
        replace(OPTICS, start=41.1, until=41.9, box=2),
        replace(ALL_BOXES, start=36.0, until=36.9, failed=0.5),
        ONE_COW,
    ),
    events=(
        *((str(b), d + b / 9, "arm_calibrated") for b in (1, 2, 3) for d in range(1, 44, 3)),
        ("2", 38.7, "optics_cleaned"),
        ("3", 41.5, "optics_cleaned"),
    ),
)


@pytest.mark.parametrize(("measure", "per"), MEASURES)
def test_bulk_is_incremental_with_all_its_figures(measure: str, per: str) -> None:
    """With positions, times and a log, readings and suspects from 30 days of rows are those from all, bit by bit."""
    rows = herd(BUSY)
    whole = readings(rows, per, measure)
    telling = whole["at"][[bool(found) for found in whole["suspects"]]]
    moments = sorted({*telling.iloc[:: max(1, len(telling) // 12)], *whole["at"].iloc[-3:]})

    assert len(telling) > 5
    for at in moments:
        recent = Tables(
            visits=rows.visits[rows.visits["start"].between(at - 30 * DAY_S + 1, at)].reset_index(drop=True),
            box_log=rows.box_log[rows.box_log["at"].between(at - 30 * DAY_S + 1, at)].reset_index(drop=True),
        )
        part = readings(recent, per, measure)
        mine, other = (frame[frame["at"] == at].reset_index(drop=True) for frame in (whole, part))
        pd.testing.assert_frame_equal(mine, other, check_exact=True)


@pytest.mark.parametrize(("measure", "per"), MEASURES)
def test_only_what_is_asked_is_worked_out(measure: str, per: str) -> None:
    """Asked from a moment on, the readings from then on are the same, and each subject keeps its last one."""
    rows = herd(BUSY)
    quiet = rows.visits[(rows.visits["box"] != "3") | (rows.visits["start"] < day(30))].reset_index(drop=True)
    rows = replace(rows, visits=quiet)
    whole = readings(rows, per, measure)
    asked = readings(replace(rows, farm=FarmFacts(asked_from=day(38.5))), per, measure)
    last = whole.groupby("subject")["at"].transform("max")
    expected = whole[(whole["at"] >= day(38.5)) | (whole["at"] == last)].reset_index(drop=True)

    assert 0 < len(asked) < len(whole)
    pd.testing.assert_frame_equal(asked, expected, check_exact=True)


def test_start_is_the_herds_first_moment() -> None:
    """The reckoned days begin where the rows do."""
    assert day(0) == START
