"""Simulated herds: nothing impossible happens, what is planted does what it says, and they are near what
is published.

The published figures are those of `sentinel.simulator.figures`; a range beside each says how near a herd must be.
"""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from scoring.baselines import box_baselines, computed, udder_baselines, udder_readings
from scoring.episodes import BOX_FAULTS, UDDER, Episode, episodes, seconds
from scoring.score import quarter_milkings, score_boxes, score_udders

from sentinel.errors import UsageError
from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS
from sentinel.flow.tables import EXPORTED, VISITS, frame_types, wide
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.figures import FIGURES
from sentinel.simulator.simulation import plan_of

MILKED = ("milked", "incomplete")


@cache
def herd() -> Simulated:
    """A herd of the development seeds."""
    return simulate(HerdSpec(180, 3, 120, 1))


@cache
def milkings() -> pd.DataFrame:
    """Whole milkings by cow, then time, with the hours since the one before (at most two days)."""
    visits = herd().tables.visits
    whole = visits[visits["outcome"] == "milked"].sort_values(["cow", "start"], kind="stable")
    hours = whole["start"].diff().where(whole["cow"] == whole["cow"].shift()) / HOUR_S
    return whole.assign(hours=hours.where(hours < 48))


def told(kind: str) -> list[Episode]:
    """The true things of one kind."""
    return episodes(herd().items, [kind])


def at_box(fault: Episode, since: int, until: int) -> pd.DataFrame:
    """Attempted milkings at the box of a fault in a time."""
    visits = herd().tables.visits
    here = (visits["box"] == fault.subject.partition(":")[2]) & (visits["outcome"] != "refused")
    return visits[here & (visits["start"] >= since) & (visits["start"] < until)]


# --- the same choice, the same herd ----------------------------------------------------------------------


def test_the_same_spec_gives_the_same_herd() -> None:
    """Rows and truth are the same again; another seed gives others; more days begin the same way in kind only."""
    spec = HerdSpec(30, 1, 20, 5)
    one, same, other = simulate(spec), simulate(spec), simulate(HerdSpec(30, 1, 20, 6))

    for table in EXPORTED:
        if hasattr(one.tables, table.name):
            pd.testing.assert_frame_equal(getattr(one.tables, table.name), getattr(same.tables, table.name))
    assert one.truth == same.truth
    assert one.truth["items"] != other.truth["items"]


def test_tables_are_as_declared() -> None:
    """Columns, types and order are those of `sentinel.flow.tables`; no key comes twice; all lies within the days."""
    for table in EXPORTED:
        frame = getattr(herd().tables, table.name, None)
        if frame is None:
            continue
        assert dict(frame.dtypes.astype(str)) == frame_types(table)
        assert not frame.duplicated(list(table.key)).any()
        assert (np.diff(frame[table.happened]) >= 0).all() or table.name == "cows"
        assert len(frame) > 0
        assert frame[table.happened].max() < herd().calendar.until
    assert herd().tables.visits["start"].min() >= herd().calendar.begin


@pytest.mark.parametrize("spec", [(5, 1, 30), (200, 2, 30), (100, 2, 5), (100, 0, 30)])
def test_sizes_that_cannot_be(spec: tuple[int, int, int]) -> None:
    """Too few cows, too many for the boxes, too few days, no box: one sentence."""
    with pytest.raises(UsageError):
        HerdSpec(*spec)


def test_every_figure_has_a_unit_and_a_source() -> None:
    """No number of the herd comes from nowhere, and all stand in the truth."""
    listed = herd().truth["parameters"]

    assert [p["name"] for p in listed] == [f.name for part in FIGURES for f in fields(part)]
    assert all(p["unit"] and p["source"] for p in listed)
    published = ("et al.", "p. 457", "Record", "CORDIS", "Ontario")
    assert all(any(word in p["source"] for word in (*published, "from memory", "assumption")) for p in listed)


# --- nothing impossible ----------------------------------------------------------------------------------


def test_one_cow_at_a_time_in_a_box() -> None:
    """A box takes the next cow only after the one before has left, and a cow is at one box at a time."""
    visits = herd().tables.visits
    for name in ("box", "cow"):
        for _, mine in visits.groupby(name):
            ends = (mine["start"] + mine["duration_s"]).to_numpy()
            assert (ends[:-1] <= mine["start"].to_numpy()[1:]).all()


def test_no_cow_in_a_box_that_is_washed_or_stands_still() -> None:
    """From the beginning of its wash or stop to the end of it."""
    log, stops = herd().tables.box_log, told("box-stopped")
    closed = [(s.subject[4:], s.start, s.until) for s in stops]
    closed += [(box, at - 18 * 60, at) for box, at in log.loc[log["event"] == "washed", ["box", "at"]].to_numpy()]
    visits = herd().tables.visits
    for box, mine in visits.groupby("box"):
        start, end = mine["start"].to_numpy(), (mine["start"] + mine["duration_s"]).to_numpy()
        for since, until in [(a, b) for name, a, b in closed if name == box]:
            assert not ((start < until) & (end > since)).any()


def test_dry_cows_are_not_milked() -> None:
    """Between drying off and calving there is no visit, and every cow that visits is on the list of cows."""
    cows, visits = herd().tables.cows, herd().tables.visits
    starts = {cow: mine["start"].to_numpy() for cow, mine in visits.groupby("cow")}
    assert set(starts) <= set(cows["cow"])
    for cow, mine in cows.groupby("cow"):
        ends = [*mine["from"].to_numpy()[1:], herd().calendar.until]
        for since, until, status in zip(mine["from"], ends, mine["status"], strict=True):
            seen = starts.get(cow, np.empty(0))
            if status == "dry":
                assert not ((seen >= since) & (seen < until)).any()


def test_calvings_and_dry_offs_happen() -> None:
    """In four months about a third of the herd calves (a calving interval of 374 d) and as many are dried off."""
    cows = herd().tables.cows
    within = cows[cows["from"] > herd().calendar.begin]
    share, places = 120 / 374, 212  # 180 in milk and 56/318 of them dry beside them

    assert within["calved_on"].nunique() > 20
    assert (within["status"] == "dry").sum() / places == pytest.approx(share, abs=0.12)
    calved = within[(within["status"] == "milking") & (within["milkings_allowed"] == 4)].drop_duplicates("cow")
    assert 0.15 < len(calved) / places < 0.5


def test_quarters_add_up_to_the_visit() -> None:
    """The four quarters' milk is the visit's, to the rounding of the scales; other visits measure nothing."""
    visits = herd().tables.visits
    gave = visits["outcome"].isin(MILKED)
    kg = visits[wide("milk_kg")].sum(axis=1)

    assert np.allclose(kg[gave], visits["milk_kg"][gave], atol=0.08)
    quarter_columns = [c for c in frame_types(VISITS) if c[:3] in ("lf_", "rf_", "lr_", "rr_")]
    assert visits.loc[~gave, quarter_columns].isna().all(axis=None)
    off = visits[wide("kicked_off")].eq(1).any(axis=1)
    assert (off == (visits["outcome"] == "incomplete")).all()


# --- what is planted does what it says -------------------------------------------------------------------


def test_an_arm_out_of_line_moves_all_teats_at_its_box() -> None:
    """On the stated axis by the stated size, within 4 mm, until a calibration that stands in the log."""
    log = herd().tables.box_log
    arms = told("arm-out-of-line")
    assert len(arms) >= 3
    for fault, item in zip(arms, [i for i in herd().items if i["kind"] == "arm-out-of-line"], strict=True):
        figures, day = item["figures"], 2 * DAY_S
        columns = wide(f"{figures['axis']}_mm")
        usual = herd().tables.visits.groupby("cow")[columns].median().mean(axis=1)
        seen = [at_box(fault, *span) for span in ((fault.start - day, fault.start), (fault.start, fault.until))]
        before, during = ((mine[columns].mean(axis=1) - mine["cow"].map(usual).to_numpy()).mean() for mine in seen)
        ended = log[(log["at"] == fault.until) & (log["event"] == "arm_calibrated")]

        assert during - before == pytest.approx(figures["shift_mm"], abs=4.0)
        assert ended["box"].tolist() == [fault.subject[4:]]


def test_fouled_optics_slow_the_box_and_shift_nothing() -> None:
    """Once full the attach time is up as stated (within 15 %), no axis moves by 3 mm, and a wipe ends it."""
    log = herd().tables.box_log
    for item in [i for i in herd().items if i["kind"] == "optics-fouled"]:
        (fault,) = [f for f in told("optics-fouled") if f.start == seconds(item["from"])]
        full = seconds(item["figures"]["full_at"])
        before = at_box(fault, fault.start - 4 * DAY_S, fault.start)
        if fault.until - full > 6 * HOUR_S:
            during = at_box(fault, full, fault.until)
            ratio = np.exp(np.log(during["attach_s"]).mean() - np.log(before["attach_s"]).mean())
            assert ratio == pytest.approx(item["figures"]["attach_factor"], rel=0.15)
        assert ((log["at"] == fault.until) & (log["event"] == "optics_cleaned")).any()


def test_box_faults_never_overlap() -> None:
    """At one box one fault has ended two days before the next begins."""
    faults = sorted((f.subject, f.start, f.until) for f in episodes(herd().items, BOX_FAULTS))

    assert all(b[1] - a[2] >= 2 * DAY_S for a, b in pairwise(faults) if a[0] == b[0])


def test_a_cow_that_fails_anywhere_fails_at_every_box() -> None:
    """Her failed share in those days is near the stated chance, and the other cows' is not."""
    visits = herd().tables.visits
    tried = visits[visits["outcome"] != "refused"]
    hits, expected, boxes = 0, 0.0, set()
    for item in [i for i in herd().items if i["kind"] == "cow-fails-everywhere"]:
        mine = tried[(tried["cow"] == item["subject"][4:]) & (tried["start"] >= seconds(item["from"]))]
        mine = mine[mine["start"] < seconds(item["until"])]
        hits += int((mine["outcome"] == "failed").sum())
        expected += item["figures"]["chance"] * len(mine)
        boxes |= set(mine.loc[mine["outcome"] == "failed", "box"])

    assert hits == pytest.approx(expected, rel=0.25)
    assert hits > 30
    assert boxes == {"1", "2", "3"}


def test_disturbed_hours_are_worse_at_every_box() -> None:
    """More cows are missed than on other days at the same boxes; no box stands out by the plan."""
    visits = herd().tables.visits
    tried = visits[visits["outcome"] != "refused"]
    inside = np.zeros(len(tried), dtype=bool)
    for one in told("herd-disturbed"):
        inside |= ((tried["start"] >= one.start) & (tried["start"] < one.until)).to_numpy()
    failed = (tried["outcome"] == "failed").to_numpy()

    assert inside.sum() > 100
    assert failed[inside].mean() > 1.5 * failed[~inside].mean()


def test_clinical_quarters_rise_as_planted() -> None:
    """Usual ones reach their stated rise over the days before, on average within a fifth; `barely` ones do not rise."""
    found: dict[str, list[float]] = {"usual": [], "barely": []}
    stated: dict[str, list[float]] = {"usual": [], "barely": []}
    visits = herd().tables.visits
    for item in [i for i in herd().items if i["kind"] in ("udder-clinical", "udder-subclinical")]:
        shape, (cow, quarter) = item["figures"]["shape"], item["subject"][8:].split("/")
        if shape in found and item["kind"] == "udder-clinical":
            mine = visits[(visits["cow"] == cow) & visits["outcome"].isin(MILKED)]
            level = mine[wide("conductivity_mS_cm")].where(mine[wide("kicked_off")].to_numpy() == 0)
            level = level[f"{quarter.lower()}_conductivity_mS_cm"]
            start, full = seconds(item["from"]), seconds(item["figures"]["full_at"])
            before = level[(mine["start"] < start) & (mine["start"] > start - 6 * DAY_S)].median()
            during = level[(mine["start"] >= full) & (mine["start"] < full + DAY_S)].mean()
            found[shape].append(100 * (during / before - 1))
            stated[shape].append(item["figures"]["rise_pct"])

    assert np.nanmean(found["usual"]) == pytest.approx(np.nanmean(stated["usual"]), rel=0.2)
    assert max(stated["barely"]) < 6


def test_one_clinical_episode_in_six_barely_rises() -> None:
    """Over many seeds: one in six barely rises and one in eight is a single spike (both assumptions, no source)."""
    shapes = [
        one.shape
        for seed in range(1, 9)
        for one in plan_of(HerdSpec(200, 4, 200, seed)).udder
        if one.kind == "udder-clinical"
    ]

    assert len(shapes) > 200
    assert shapes.count("barely") / len(shapes) == pytest.approx(1 / 6, abs=0.06)
    assert shapes.count("single") / len(shapes) == pytest.approx(0.12, abs=0.06)


def test_heat_moves_all_quarters_together() -> None:
    """On hot days the median of all quarters against each cow's own is up by the stated size, within 1.5 points."""
    visits = herd().tables.visits
    columns = wide("conductivity_mS_cm")
    usual = visits.groupby("cow")[columns].transform("median")
    rise = 100 * (visits[columns] / usual - 1).median(axis=1)
    assert told("heat")
    for item in [i for i in herd().items if i["kind"] == "heat"]:
        hot = visits["start"].between(seconds(item["from"]), seconds(item["until"]))
        assert rise[hot].median() == pytest.approx(item["figures"]["rise_pct"], abs=1.8)


def test_one_sensor_reads_high_from_its_day_on() -> None:
    """Against the same quarter at the other boxes, before and after: up by the stated size, within 1.5 points."""
    (item,) = [i for i in herd().items if i["kind"] == "sensor-high"]
    column, since = f"{item['figures']['quarter'].lower()}_conductivity_mS_cm", seconds(item["from"])
    visits = herd().tables.visits
    here, after = visits["box"] == item["subject"][4:], visits["start"] >= since
    level = np.log(visits[column] / visits.groupby("cow")[column].transform("median"))
    gap = [100 * (level[here & when].median() - level[~here & when].median()) for when in (after, ~after)]

    assert gap[0] - gap[1] == pytest.approx(item["figures"]["rise_pct"], abs=1.5)


def test_a_stuck_sensor_gives_one_value() -> None:
    """All readings at its place while it sticks are the same."""
    (item,) = [i for i in herd().items if i["kind"] == "sensor-stuck"]
    visits = herd().tables.visits
    here = (visits["box"] == item["subject"][4:]) & visits["start"].between(
        seconds(item["from"]), seconds(item["until"]) - 1
    )

    values = visits.loc[here, f"{item['figures']['quarter'].lower()}_conductivity_mS_cm"].dropna()
    assert len(values) > 20
    assert values.nunique() == 1


def test_forgotten_chores_are_gaps_in_the_log() -> None:
    """Between the time before and the time after nothing of the kind stands in the box's log."""
    log = herd().tables.box_log
    events = {"filter": "filter_changed", "wash": "washed", "optics": "optics_cleaned", "arm": "arm_calibrated"}
    items = [i for i in herd().items if i["kind"] in ("chore-forgotten", "filter-forgotten")]
    assert len(items) > 10
    for item in items:
        kind, name = item["subject"].split(":")
        chore, box = ("filter", name) if kind == "box" else name.split("/")
        last, following = seconds(item["figures"]["last_done"]), seconds(item["until"])
        mine = log[(log["box"] == box) & (log["event"] == events[chore])]["at"]
        assert last in set(mine)
        assert not ((mine > last) & (mine < following)).any()


def test_withheld_cows_stand_so_in_the_list() -> None:
    """From when people notice a clinical quarter until the end of its course the cow's milk is kept apart."""
    cows = herd().tables.cows
    for item in [i for i in herd().items if i["kind"] == "udder-clinical"]:
        since = seconds(item["figures"]["withheld_from"])
        mine = cows[cows["cow"] == item["subject"][8:].split("/")[0]]
        assert mine[mine["from"] <= since + 60]["status"].iloc[-1] in ("withheld", "dry")


# --- near what is published ------------------------------------------------------------------------------


def test_intervals_are_near_the_published_ones() -> None:
    """Mean within 0.5 h, SD within 0.6 h and shares within 5 and 6 points of those of 107,785 milkings in boxes.

    There: mean 9.2 h, SD 3.3 h, 9.7 % under 6 h, 17.6 % over 12 h (Hogeveen et al. 2001, Livest Prod Sci 72:157). How
    near is near enough is our choice, no source; so it is in the tests below.
    """
    hours = milkings()["hours"].dropna()

    assert hours.mean() == pytest.approx(9.2, abs=0.5)
    assert hours.std() == pytest.approx(3.3, abs=0.6)
    assert (hours < 6).mean() == pytest.approx(0.097, abs=0.05)
    assert (hours > 12).mean() == pytest.approx(0.176, abs=0.06)


def test_failures_and_visits_are_of_the_published_size() -> None:
    """Failures a box and day within 2 of the survey's 5.5, a milking within a third, other visits within a third.

    There: 5.5 failed per box and day, 3.76 per 100 milkings, 1.9 other visits a cow and day (Tremblay et al. 2016,
    J Dairy Sci 99:3824; citation from memory, figures from a summary).
    """
    outcome = herd().tables.visits["outcome"]
    failed, gave = (outcome == "failed").sum(), outcome.isin(MILKED).sum()

    assert failed / 120 / 3 == pytest.approx(5.5, abs=2.0)
    assert failed / gave == pytest.approx(0.0376, abs=0.012)
    assert (outcome == "refused").sum() / 120 / 180 == pytest.approx(1.9, abs=0.6)


def test_some_cows_are_hard_to_attach() -> None:
    """The tenth of the cows that fail most have more than four tenths of all failures, on no bad day of theirs."""
    visits = herd().tables.visits
    tried = visits[visits["outcome"] != "refused"]
    failed = tried.groupby("cow")["outcome"].apply(lambda mine: (mine == "failed").sum()).sort_values()

    assert failed.iloc[-len(failed) // 10 :].sum() / failed.sum() > 0.4


def test_milk_is_near_the_published() -> None:
    """Yield within 0.15 of 1.3 kg/h (Hogeveen et al. 2001), four readings of five within 4.0-5.5 mS/cm.

    "Usually": Dairy Chemistry and Biochemistry p. 457. Four of five is our choice, no source.
    """
    rate = milkings()["milk_kg"].sum() / milkings()["hours"].sum()
    level = herd().tables.visits[wide("conductivity_mS_cm")].to_numpy().ravel()
    level = level[~np.isnan(level)]

    assert rate == pytest.approx(1.3, abs=0.15)
    assert ((level > 4.0) & (level < 5.5)).mean() > 0.8


def quarter_weeks() -> tuple[np.ndarray, np.ndarray]:
    """Highest rise over the mean of 14 in each quarter-week with ten readings or more, and whether it was infected."""
    rise = computed(herd().tables, "conductivity_rise_pct", "quarter").dropna(subset="value")
    week = (rise["at"] - herd().calendar.begin) // (7 * DAY_S)
    weeks = rise.groupby(["subject", week])["value"].agg(["max", "size"])
    weeks = weeks[weeks["size"] >= 10]
    spans: dict[str, list[Episode]] = {}
    for one in episodes(herd().items, [k for k in UDDER if k != "udder-spike"]):
        spans.setdefault(one.subject, []).append(one)
    middle = [herd().calendar.begin + (7 * n + 3.5) * DAY_S for _, n in weeks.index]
    infected = [
        any(e.start < at < e.until for e in spans.get(subject, []))
        for (subject, _), at in zip(weeks.index, middle, strict=True)
    ]
    return weeks["max"].to_numpy(), np.array(infected)


def test_a_plain_rise_is_about_as_poor_as_the_published() -> None:
    """Quarter-weeks with a rise: within 9 points of 20 % over 10 %, within 5 of 14 % over 15 %; as many are missed.

    There: 20 and 14 % of quarter-weeks, specificity 85-92 %, sensitivity 40-54 % (Biggadike et al. 2002, Vet Record
    150:655, citation from memory); here the specificity may be 70-90 and 82-95 %, the sensitivity 40-65 and 20-54 %.
    There a week had 14 milkings, here about 18, so a little more is to be expected over either bound; and there the
    infected were those with many cells that week, here all that carry an infection, some of which never show.
    """
    highest, infected = quarter_weeks()

    assert (highest > 10).mean() == pytest.approx(0.20, abs=0.09)
    assert (highest > 15).mean() == pytest.approx(0.14, abs=0.05)
    assert 0.70 < (highest <= 10)[~infected].mean() < 0.90
    assert 0.82 < (highest <= 15)[~infected].mean() < 0.95
    assert 0.40 <= (highest > 10)[infected].mean() <= 0.65  # 40-54 % there
    assert 0.20 <= (highest > 15)[infected].mean() <= 0.54


def test_plain_baselines_are_far_from_the_goals() -> None:
    """No plain rule finds 80 % of clinical quarters with at most 6 false alerts per 1,000 milkings, nor comes near."""
    tables, udders = herd().tables, episodes(herd().items, UDDER)
    healthy = quarter_milkings(tables, udders)
    for name, alerts in udder_baselines(udder_readings(tables)).items():
        score = score_udders(tables, udders, alerts, healthy)
        assert score.found["udder-clinical"].value < 0.6 or score.false_per_1000 > 12, name
    for name, alerts in box_baselines(tables, (4, 5, 6)).items():
        boxes = score_boxes(episodes(herd().items, BOX_FAULTS), [], alerts, 3, 120)
        assert boxes.false / boxes.box_years > 10, name


def test_quarters_are_four() -> None:
    """Every episode is of a quarter of a cow that is in the herd."""
    cows = set(herd().tables.cows["cow"])
    for one in episodes(herd().items, UDDER):
        cow, quarter = one.subject[8:].split("/")
        assert cow in cows
        assert quarter in QUARTERS
