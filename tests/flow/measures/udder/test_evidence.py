"""Evidence of trouble in a quarter: what each sign adds, what is taken off, and what is never taken for health."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pandas as pd
import pytest
from quarters_of_a_herd import ALL, CHART, EVIDENCE, LF, changed, evidence, herd, of_cow
from strategies import months_of_a_herd

from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.measures.udder.change import first_change, milkings_of
from sentinel.flow.measures.udder.conductivity import PERHAPS_OFF
from sentinel.flow.measures.udder.ewma import READINGS, WEIGHT, WIDTH, ewma, ewma_sd
from sentinel.flow.measures.udder.lags import in_parts
from sentinel.flow.measures.udder.points import SIGNS
from sentinel.flow.measures.udder.sensor import sensor_spreads
from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import FarmFacts, Tables

NAN = math.nan


# --- what adds up ----------------------------------------------------------------------------------------


def test_healthy_cows_have_little_evidence() -> None:
    """Of a herd without trouble nearly every score is far under the 4 points of the rule."""
    value = evidence(herd())["value"].dropna()

    assert len(value) > 2000
    assert value.abs().mean() < 1.2
    assert (value > 4).mean() < 0.002


def test_one_odd_reading_is_not_enough_and_two_are() -> None:
    """A reading 40 % too high adds at most 2.6 points; at the second one the milkings before speak as well."""
    visits = herd()
    odd = evidence(changed(visits, of_cow(visits, "14", 1), 1.4, LF), "quarter:14/LF").iloc[-1]
    twice = evidence(changed(visits, of_cow(visits, "14", 2), 1.4, LF), "quarter:14/LF").iloc[-1]

    assert odd["rise_points"] == pytest.approx(0.4 * 3.6 * 1.8)
    assert odd["value"] < 4 < twice["value"]
    assert twice["because"].startswith("conductivity ") and "high at the milkings before" in twice["because"]


def test_the_score_is_the_sum_of_its_parts() -> None:
    """Each sign's part stands beside the score."""
    frame = evidence(herd(days=10))

    told = frame[frame["value"].notna()]
    np.testing.assert_allclose(told["value"], sum(told[f"{name}_points"] for name in SIGNS), rtol=0, atol=1e-12)


def test_less_milk_of_the_quarter_adds() -> None:
    """A quarter whose conductivity rose a little and that gives half its milk comes to more than by the rise alone."""
    visits = herd()
    rows = of_cow(visits, "14", 3)
    risen = changed(visits, rows, 1.05, LF)
    ill = changed(risen, rows, 0.5, "lf_milk_kg")
    alone, both = (evidence(one, "quarter:14/LF").iloc[-1] for one in (risen, ill))

    assert both["yield_points"] > alone["yield_points"] + 1.5
    assert both["value"] > 4
    assert "% less than this quarter usually does" in both["because"]


def test_an_incomplete_milking_is_no_sign_of_a_quarter() -> None:
    """All quarters giving half is the milking's affair, not the quarter's."""
    visits = herd()
    halved = changed(visits, of_cow(visits, "14", 1), 0.5, *[f"{q.lower()}_milk_kg" for q in QUARTERS])
    plain, short = (evidence(one, "quarter:14/LF").iloc[-1] for one in (visits, halved))

    assert short["yield_points"] == pytest.approx(plain["yield_points"], abs=0.2)


def test_what_all_quarters_do_is_taken_off() -> None:
    """All four quarters up by 15 % (heat, a long interval, her own day) is no evidence of one of them."""
    visits = herd()
    rows = of_cow(visits, "14", 2)
    hot = evidence(changed(visits, rows, 1.15, *ALL))
    last = hot[(hot["subject"].str.startswith("quarter:14/")) & (hot["at"] == visits["start"][rows[-1]])]

    assert len(last) == 4
    assert last["rise_pct"].min() > 8
    assert last["value"].max() < 4
    assert evidence(changed(visits, rows, 1.15, LF), "quarter:14/LF")["value"].iloc[-1] > 4


def test_a_sensor_that_reads_high_is_no_evidence_of_its_cows() -> None:
    """One sensor up by 7 % from some day on: the rise is seen, the same cows' other box tells that it is the sensor."""
    visits = herd(days=24)
    at_box = ((visits["box"] == "2") & (visits["start"] >= 18 * DAY_S)).to_numpy()
    frame = evidence(changed(visits, np.flatnonzero(at_box), 1.07, LF))
    there = frame[(frame["box"] == "2") & frame["subject"].str.endswith("LF") & (frame["at"] >= 18.7 * DAY_S)]

    assert there[there["at"] < 20 * DAY_S]["rise_pct"].median() > 4
    assert (there["value"] > 4).mean() < 0.02
    uncorrected = there[there["at"] < 20 * DAY_S]["rise_pct"].median() / 100 / 0.02
    assert uncorrected > 2


# --- what cannot be told ---------------------------------------------------------------------------------


def test_what_is_no_reading_is_never_health() -> None:
    """A cup that came off, an impossible reading, too short a past: missing, each with its reason."""
    visits = herd(days=4)
    last = of_cow(visits, "14", 3)
    visits.loc[last[0], "lf_kicked_off"] = 1.0
    visits.loc[last[1], LF] = 0.0
    frame = evidence(visits, "quarter:14/LF")

    assert frame["value"].iloc[:6].isna().all() and frame["value"].iloc[6:-3].notna().all()
    assert set(frame["why"].iloc[:6]) == {"fewer than 5 earlier milkings with a reading in 8 days"}
    assert frame["value"].iloc[-3:].isna().tolist() == [True, True, False]
    assert "the cup came off early" in frame["why"].iloc[-3] and "cannot have" in frame["why"].iloc[-2]


@pytest.mark.parametrize("outcome", ["incomplete", "not_whole", "unknown"])
def test_a_quarter_whose_cup_may_have_come_off_waits_for_the_next_milking(outcome: str) -> None:
    """Not whole, and the export does not say whose cup came off: neither its milk nor its conductivity is judged."""
    visits = herd()
    visits[[f"{q.lower()}_kicked_off" for q in QUARTERS]] = NAN
    visits["milk_kg"] = visits[[f"{q.lower()}_milk_kg" for q in QUARTERS]].sum(axis=1)
    row, after = of_cow(visits, "14", 2)
    without_milk = visits.copy()
    without_milk.loc[[row, after], [f"{q.lower()}_milk_kg" for q in QUARTERS]] = NAN
    usual = evidence(without_milk, "quarter:14/LF").iloc[-1]
    visits.loc[row, [LF, "outcome"]] = [visits.loc[row, LF] * 1.4, outcome]
    visits.loc[row, "lf_milk_kg"] *= 0.2
    frame = evidence(visits)
    there = frame[frame["at"] == visits["start"].iloc[row]]

    assert len(there) == 4 and there["value"].isna().all()
    assert set(there["why"]) == {PERHAPS_OFF}
    last = frame[(frame["subject"] == "quarter:14/LF") & (frame["at"] == visits["start"].iloc[after])].iloc[0]
    assert last["value"] == pytest.approx(usual["value"], abs=0.7)
    assert last["ewma_points"] == pytest.approx(usual["ewma_points"], abs=0.7)


def test_where_the_cups_are_told_an_incomplete_milking_is_judged() -> None:
    """As the export says, quarter by quarter, whose cup came off, the others are told by what they gave."""
    visits = herd()
    row = of_cow(visits, "14", 1)[0]
    visits.loc[row, ["outcome", "lf_kicked_off", "rr_kicked_off"]] = ["incomplete", 1.0, NAN]
    told = evidence(visits).query(f"at == {visits['start'].iloc[row]}").set_index("subject")["value"].notna()

    assert told.to_dict() == {f"quarter:14/{q}": q in ("RF", "LR") for q in QUARTERS}


def test_the_milk_of_a_milking_that_was_broken_off_is_no_sign() -> None:
    """One cup came off; of the quarter whose cup stayed on the conductivity counts, but not that it gave half."""
    visits = herd()
    row = of_cow(visits, "14", 1)[0]
    visits.loc[row, ["outcome", "rr_kicked_off"]] = ["incomplete", 1.0]
    visits.loc[row, "lf_milk_kg"] *= 0.5
    broken_off = evidence(visits, "quarter:14/LF").iloc[-1]
    whole = evidence(visits.assign(outcome="milked"), "quarter:14/LF").iloc[-1]

    assert not math.isnan(broken_off["value"])
    assert whole["yield_points"] > 1.0
    assert broken_off["yield_points"] < 0.5


def test_a_quarter_that_has_become_its_own_usual_is_judged_by_what_was() -> None:
    """High for a week: by what is usual now its score falls, by what was usual it stays; back there it is none."""
    visits = herd(days=30)
    ill = of_cow(visits, "14", 24)[:-1]
    visits = changed(visits, ill, 1.3, LF)
    rows = evidence(visits, "quarter:14/LF").iloc[-24:]
    was = float(rows["baseline"].iloc[0])
    assert EVIDENCE.as_usual_was is not None
    then = EVIDENCE.as_usual_was(rows, np.full(len(rows), was))

    assert rows["value"].iloc[-4:-1].max() < 3 < then["value"].iloc[3:-1].min()
    assert then["value"].iloc[-1] < 2
    assert (then["baseline"] == was).all()
    assert then["rise_pct"].iloc[-2] == pytest.approx(100 * (rows["conductivity"].iloc[-2] / was - 1))
    assert f"{then['rise_pct'].iloc[-2]:.0f} % above its usual" in str(then["because"].iloc[-2])


def test_by_what_is_usual_now_nothing_changes() -> None:
    """The score, and what it says, of readings that are judged by their own usual are as they were."""
    rows = evidence(herd(), "quarter:14/LF").iloc[-20:]
    assert EVIDENCE.as_usual_was is not None
    same = EVIDENCE.as_usual_was(rows, rows["baseline"].to_numpy(float))

    assert same["value"].tolist() == pytest.approx(rows["value"].tolist())
    assert same["rise_pct"].tolist() == pytest.approx(rows["rise_pct"].tolist())


def test_without_the_quarters_milk_conductivity_counts_more() -> None:
    """A farm whose export has no milk by quarter is judged by conductivity alone, at nearly the same bound."""
    visits = herd()
    rows = of_cow(visits, "14", 2)
    bare = changed(visits, rows, 1.4, LF).assign(**{f"{q.lower()}_milk_kg": NAN for q in QUARTERS})
    last = evidence(bare, "quarter:14/LF").iloc[-1]

    assert (last["yield_points"], last["rise_points"]) == (0.0, pytest.approx(0.4 * 3.6 * 2.16))
    assert last["value"] > 4


# --- the chart -------------------------------------------------------------------------------------------


def plain_changes(visits: pd.DataFrame, cow: str, quarter: str, expected: np.ndarray) -> list[float]:
    """The corrected rises of a quarter in its own standard deviations, from the definition and without a sensor's part.

    Plain words, milking by milking: the middle of 14 milkings before the last one, the others' common part, the
    scatter of her changes before, in what is expected of the sensor (`expected`).
    """
    mine = visits[visits["cow"] == cow]
    logs = {q: [math.log(x) for x in mine[f"{q.lower()}_conductivity_mS_cm"]] for q in QUARTERS}

    def middling(values: list[float], apart: float) -> float:
        middle = statistics.median(values)
        return middle + sum(max(-apart, min(apart, value - middle)) for value in values) / len(values)

    changes: dict[str, list[float]] = {q: [] for q in QUARTERS}
    for row in range(len(mine)):
        past = range(max(row - 15, 0), row - 1)
        for q in QUARTERS:
            changes[q].append(logs[q][row] - middling([logs[q][one] for one in past], 0.05) if len(past) >= 5 else NAN)
    own: dict[str, list[float]] = {q: [] for q in QUARTERS}
    for row in range(len(mine)):
        for place, q in enumerate(QUARTERS):
            others = [changes[one][row] for one in QUARTERS if one != q]
            left = NAN if math.isnan(others[0]) else changes[q][row] - 0.85 * middling(others, 0.03)
            own[q].append(left / expected[row, place])
    scaled = []
    for row in range(len(mine)):
        weight, squares = 10.0, 10.0
        for q in QUARTERS:
            past = [own[q][one] for one in range(max(row - 14, 0), row) if not math.isnan(own[q][one])]
            share = 1.0 if q == quarter else 0.5
            weight += share * len(past)
            squares += share * sum(min(abs(one), 4.0) ** 2 for one in past)
        scaled.append(own[quarter][row] / math.sqrt(squares / weight))
    return scaled


def test_the_chart_against_plain_words() -> None:
    """The chart is the moving average of the corrected rises over its limit, worked in plain loops."""
    visits = herd(days=15, cows=3, boxes=1)
    visits = changed(visits, of_cow(visits, "12", 6), 1.06, "rr_conductivity_mS_cm")
    frame = CHART.compute(Tables(visits=visits), "quarter", {}).frame
    mine = frame[frame["subject"] == "quarter:12/RR"]
    told = milkings_of(Tables(visits=visits))
    (first,) = in_parts(first_change, told.code, told.at, np.log(told.usable))
    expected = sensor_spreads(told.box, told.at, first, 0.02)[told.code == 1]
    scaled = plain_changes(visits, "12", "RR", expected)

    assert mine["value"].iloc[-1] > 1
    for row, (value, number) in enumerate(zip(mine["value"], mine["readings"], strict=True)):
        lately = [one for one in scaled[max(row - READINGS + 1, 0) : row + 1] if not math.isnan(one)]
        assert number == len(lately)
        if math.isnan(scaled[row]):
            assert math.isnan(value)
        else:
            average = ewma([max(-3.6, min(3.6, one)) for one in lately], WEIGHT, 0.0)[-1]
            assert value == pytest.approx(average / (WIDTH * float(ewma_sd(WEIGHT, 1.0, len(lately)))), rel=1e-5)


def test_the_chart_seldom_passes_its_limit_without_a_fault() -> None:
    """Of healthy quarters about as few readings are out of control as a chart with a run length of 500 lets expect."""
    value = CHART.compute(Tables(visits=herd(days=40)), "quarter", {}).frame["value"].dropna()

    assert len(value) > 5000
    assert 0.0 < (value.abs() > 1).mean() < 0.02  # two-sided run length 500, runs of a few readings, some dependence


# --- bulk and incremental --------------------------------------------------------------------------------


@pytest.mark.parametrize("measure", [EVIDENCE, CHART], ids=lambda m: m.name)
def test_bulk_is_incremental_with_sensors_at_work(measure: Measure) -> None:
    """With enough cows for the sensors to be judged, the rows of the lookback give every reading to the last bit."""
    visits = herd(days=45)
    visits = changed(visits, np.flatnonzero((visits["box"] == "2") & (visits["start"] > 38 * DAY_S)), 1.08, LF)
    whole = measure.compute(Tables(visits=visits), "quarter", {}).frame
    for at in sorted(set(whole["at"]))[-40::13]:
        kept = visits[(visits["start"] > at - measure.lookback_s) & (visits["start"] <= at)].reset_index(drop=True)
        part = measure.compute(Tables(visits=kept), "quarter", {}).frame
        pd.testing.assert_frame_equal(
            whole[whole["at"] == at].reset_index(drop=True),
            part[part["at"] == at].reset_index(drop=True),
            check_exact=True,
        )


@pytest.mark.parametrize("measure", [EVIDENCE, CHART], ids=lambda m: m.name)
def test_only_what_is_asked_for(measure: Measure) -> None:
    """Readings from a moment on, and each quarter's last usable one, are those of all readings to the last bit."""
    visits = herd(days=32)
    gone = (visits["cow"] == "13") & (visits["start"] > 25 * DAY_S)  # dried off
    visits = visits[~gone].reset_index(drop=True)
    visits.loc[of_cow(visits, "14", 9), "rr_conductivity_mS_cm"] = NAN  # a quarter that is not read any more
    visits.loc[of_cow(visits, "15", 9), "rr_kicked_off"] = 1.0  # one whose cup always comes off
    whole = measure.compute(Tables(visits=visits), "quarter", {}).frame
    since = 31 * DAY_S
    part = measure.compute(Tables(visits=visits, farm=FarmFacts(asked_from=since)), "quarter", {}).frame

    key = ["subject", "at"]
    same = whole.merge(part[key], on=key)
    pd.testing.assert_frame_equal(same, part, check_exact=True)
    assert len(part) < len(whole) / 10
    assert set(whole[whole["at"] >= since].set_index(key).index) <= set(part.set_index(key).index)
    for frame in (whole, whole[whole["value"].notna()]):
        last = frame.drop_duplicates("subject", keep="last").set_index(key).index
        assert set(last) <= set(part.set_index(key).index)
    assert part[part["subject"] == "quarter:13/LF"]["at"].tolist() == [visits[visits["cow"] == "13"]["start"].max()]


def test_months_of_a_herd_have_values() -> None:
    """The record by which every measure's lookback is checked has evidence in it, so that it checks something."""
    frame = EVIDENCE.compute(months_of_a_herd(seed=11), "quarter", {}).frame

    assert frame["value"].notna().mean() > 0.8
    assert (frame["yield_points"] != 0).mean() > 0.5
