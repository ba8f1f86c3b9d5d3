"""The report under hard conditions: what it counts, that counts add up, and that a herd's exports decide when."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.replay import Founder, Raised
from sentinel.flow.tables import Tables
from sentinel.simulator import HerdSpec, simulate
from sentinel.simulator.conditions import CONDITIONS

from . import hard
from .baselines import Plain
from .episodes import Episode
from .hard import (
    BEFORE,
    CASES,
    TABLES,
    Line,
    Results,
    cell,
    job,
    page,
    read_results,
    run,
    write_results,
    written,
)
from .hard_cases import CHOOSING, MORE, ONLY_IN_FILES, REPORTING, USUAL, spec_of
from .hard_counts import (
    Counts,
    added,
    box_counts,
    counts_of,
    day_drop_pct,
    found_faults,
    healthy_days,
    herd_counts,
    herd_failed_pct,
    newly_ill,
    quiet_counts,
    yield_counts,
)
from .report import hourly, newest_at, shipped_rules

H = HOUR_S
ARM, OPTICS = "arm-out-of-line", "optics-fouled"


def fault(box: str, start_h: float, until_h: float, kind: str = ARM) -> Episode:
    """A box fault, to be found within 12 h."""
    start, until = int(start_h * H), int(until_h * H)
    suspect = "arm" if kind == ARM else "optics"
    return Episode(kind, f"box:{box}", start, until, start, min(start + 12 * H, until), suspect)


def alert(subject: str, raised_h: float, over_h: float | None = None, suspect: str = "", rule: str = "r") -> Raised:
    """An alert, in hours."""
    over = None if over_h is None else int(over_h * H)
    suspects = ({"name": suspect, "weight": 1.0},) if suspect else ()
    return Raised(rule, subject, int(raised_h * H), over, "now", None, suspects=suspects)


# --- seeds and cases -----------------------------------------------------------------------------------------


def test_nothing_is_reported_on_the_seeds_for_choosing() -> None:
    """Nor on those of the other report; every condition has a case, or only files show it."""
    assert not set(CHOOSING) & set(REPORTING)
    assert not set(REPORTING) & set(range(1, 300))
    assert set(CONDITIONS) == {name for names in CASES.values() for name in names} | set(ONLY_IN_FILES)
    assert spec_of("one-box", 301) == HerdSpec(60, 1, 60, 301, conditions=("more-faults", "one-box"))
    assert spec_of(USUAL, 301).conditions == ()


# --- boxes ---------------------------------------------------------------------------------------------------


def test_a_fault_is_found_from_its_start_within_its_window() -> None:
    """Before it, after it, at another box or too late it is not."""
    one = fault("2", 10, 40)
    for subject, hour, found in (
        ("box:2", 9, 0),
        ("box:2", 10, 1),
        ("box:2", 22, 1),
        ("box:2", 23, 0),
        ("box:1", 12, 0),
    ):
        counts = box_counts([one], [], [alert(subject, hour, 60)], 2, 365.0)
        assert counts["arm"] == (found, 1)
        assert counts["optics"] == (0, 0)
        assert counts["box found"] == (found, 1)


def test_an_alert_that_stands_finds_the_second_fault_of_the_same_box_only() -> None:
    """Raised in the first and still standing as the second begins; not if it was over, nor of another box."""
    arm, optics, elsewhere = fault("1", 10, 40), fault("1", 20, 44, OPTICS), fault("2", 20, 44, OPTICS)

    def found(over_h: float | None, raised_h: float = 12) -> list[bool]:
        given = [alert("box:1", raised_h, over_h, "arm")]
        return [one.alert is not None for one in found_faults([arm, optics, elsewhere], given)]

    assert found(None) == [True, True, False]
    assert found(30) == [True, True, False]
    assert found(15) == [True, False, False]
    assert found(30, raised_h=8) == [False, False, False]


def test_either_suspect_is_right_while_both_stand() -> None:
    """Alone the other one is wrong; and no suspect is never right."""
    arm, optics = fault("1", 10, 40), fault("1", 20, 44, OPTICS)

    def right(faults: list[Episode], suspect: str) -> tuple[float, float]:
        return box_counts(faults, [], [alert("box:1", 21, 50, suspect)], 1, 365.0)["right"]

    assert right([arm, optics], "arm") == right([arm, optics], "optics") == (2, 2)
    assert right([arm], "optics") == (0, 1)
    assert right([arm, optics], "herd") == right([arm, optics], "") == (0, 2)


def test_false_box_alerts_are_counted_by_box_year() -> None:
    """One in no fault, over two boxes and half a year; one that names the herd on its bad day is excused."""
    bad_day = Episode("herd-disturbed", "herd", 100 * H, 120 * H, 100 * H, 112 * H, "herd")
    given = [
        alert("box:1", 50, 51),
        alert("box:1", 110, 111, "herd"),
        alert("box:2", 110, 111, "optics"),
        alert("herd", 50),
    ]

    assert box_counts([], [bad_day], given, 2, 182.5)["box false"] == (2, 1.0)


def test_what_the_herds_incident_holds_back_is_counted() -> None:
    """Of the faults found, those whose alert belongs to an incident of the whole herd."""
    covered = replace(alert("box:1", 12, 30), incident=Founder("herd-failures", "herd", 11 * H))
    own = replace(alert("box:2", 12, 30), incident=Founder("box-failures", "box:2", 12 * H))

    assert box_counts([fault("1", 10, 40), fault("2", 10, 40)], [], [covered, own], 2, 60.0)["covered"] == (1, 2)


# --- quarters ------------------------------------------------------------------------------------------------


def test_an_alert_of_a_quarter_newly_ill_is_told_from_one_that_flares_up_or_was_ill_before() -> None:
    """Raised in a clinical or subclinical episode; by whether it rang."""

    def ill(kind: str, quarter: str, start_h: int) -> Episode:
        start, until = start_h * H, (start_h + 100) * H
        return Episode(kind, f"quarter:7/{quarter}", start, until, start, start + 48 * H)

    episodes = [ill("udder-clinical", "LF", 10), ill("udder-spike", "RF", 10), ill("udder-subclinical", "LR", 10)]
    given = [
        alert("quarter:7/LF", 20),
        replace(alert("quarter:7/LR", 20), urgency="round"),
        alert("quarter:7/RF", 20),
        alert("quarter:7/LF", 5),
        alert("box:1", 20),
    ]

    assert newly_ill(episodes, given) == {"newly ill": (2, 4), "newly ill now": (1, 3), "newly ill round": (1, 1)}


# --- herd, standstills, yield ----------------------------------------------------------------------------------


def test_a_bad_day_is_found_within_12_hours_while_it_lasts() -> None:
    """An alert outside of any is false."""
    short, long = (Episode("herd-disturbed", "herd", a * H, b * H, a * H, b * H) for a, b in ((10, 20), (100, 140)))
    given = [alert("herd", 21, 22), alert("herd", 113, 120), alert("herd", 60, 61), alert("box:1", 12, 13)]

    assert herd_counts([short, long], given, 365.0) == {"herd": (0, 2), "herd false": (2, 1.0)}
    assert herd_counts([short, long], [alert("herd", 19), alert("herd", 111)], 365.0)["herd"] == (2, 2)


def test_a_standstill_is_told_by_the_export_after_it_and_short_ones_are_not_counted() -> None:
    """Yet an alert in a short one is not false."""
    long = Episode("box-stopped", "box:1", 10 * H, 13 * H, 10 * H, 13 * H)
    short = Episode("box-stopped", "box:1", 30 * H, 31 * H, 30 * H, 31 * H)

    def counts(*hours: float) -> tuple[tuple[float, float], float]:
        found = quiet_counts([long, short], [alert("box:1", hour) for hour in hours], 1, 365.0)
        return found["quiet"], found["quiet false"][0]

    assert counts(12) == counts(14) == ((1, 1), 0)
    assert counts(14.1) == ((0, 1), 1)
    assert counts(30.5) == ((0, 1), 0)
    assert quiet_counts([long], [alert("box:1", 15)], 1, 365.0, every_s=2 * H)["quiet"] == (1, 1)


def milked(*rows: tuple[str, int, float]) -> Tables:
    """Milkings by cow, hour and kilos."""
    cows, hours, kilos = zip(*rows, strict=True)
    frame = pd.DataFrame({"cow": cows, "start": np.array(hours) * H, "milk_kg": kilos, "outcome": "milked", "box": "1"})
    return Tables(visits=frame.sort_values("start", kind="stable", ignore_index=True))


def test_false_drops_are_counted_by_days_of_healthy_cows() -> None:
    """A day in a drop or a case is none of a healthy cow; an alert in one is not false."""
    tables = milked(*[(cow, 24 * day + 6, 20.0) for cow in "78" for day in range(10)])
    off = Episode("yield-drop", "cow:7", 2 * DAY_S, 4 * DAY_S, 2 * DAY_S, 4 * DAY_S)
    ill = Episode("udder-clinical", "quarter:8/LF", 5 * DAY_S, 6 * DAY_S, 5 * DAY_S, 6 * DAY_S)
    given = [alert("cow:7", 60), alert("cow:7", 200), alert("cow:8", 130), alert("cow:8", 20)]

    assert healthy_days(tables, []) == 20
    assert yield_counts(tables, [off], [ill], given) == {"yield": (1, 1), "yield false": (2, (20 - 3 - 2) / 1000)}


def test_plain_bounds() -> None:
    """A day at half the week's mean is 50 % under it; three of four failures of the herd are 75 %."""
    drop = day_drop_pct(milked(*[("7", 24 * day + 6, 20.0 if day < 8 else 10.0) for day in range(9)]))
    tries = pd.DataFrame({"cow": "7", "start": np.arange(4) * H, "outcome": ["milked", "failed", "failed", "failed"]})
    failed = herd_failed_pct(Tables(visits=tries), fewest=4)

    assert drop["value"].iloc[-2:].round().tolist() == [0, 50]
    assert drop["at"].iloc[-1] == 9 * DAY_S
    assert failed["value"].iloc[-1] == 75
    assert failed["value"].iloc[:-1].isna().all()


# --- when exports come -----------------------------------------------------------------------------------------


def test_a_herds_exports_decide_when_rows_are_known() -> None:
    """Every hour, every two, not those that are lost, by box, without a log, or with their newest row alone."""

    def coming(*conditions: str) -> dict[str, np.ndarray]:
        herd = simulate(HerdSpec(30, 2, 20, 5, conditions=conditions))
        found, feeds_of = hourly(herd)
        assert {name for feeds in feeds_of.values() for name in feeds} == set(found)
        return {name: one.at for name, one in found.items()}

    usual = coming()["visits"]
    lost = coming("missing-exports")["visits"]
    unstamped = coming("unstamped")["visits"]

    assert np.array_equal(usual[::2], coming("two-hourly")["visits"])
    assert len(lost) < len(usual)
    assert set(lost) < set(usual)
    assert {"visits-1", "visits-2"} < set(coming("files-by-box"))
    assert "box_log" not in coming("no-box-log")
    assert 0 < len(unstamped) <= len(usual)
    assert not np.isin(unstamped, usual).all()


def test_the_newest_row_of_each_export() -> None:
    """One that brings nothing new, or comes before the first row, is none."""
    assert newest_at(np.array([10, 20, 30, 40]), np.array([12, 18, 33])).tolist() == [18, 33]


# --- adding, keeping, writing ------------------------------------------------------------------------------------


def test_counts_add_up() -> None:
    """Both numbers of a line; the whole is not the mean of the herds' shares."""
    assert added([{"arm": (1, 2), "rings": (3.0, 60.0)}, {"arm": (3, 10)}]) == {"arm": (4, 12), "rings": (3.0, 60.0)}


def test_what_is_kept_is_read_again(tmp_path: Path) -> None:
    """Counts, seeds and seconds."""
    results = Results((301, 302), {USUAL: {"rules": {"arm": (1, 2)}, "plain": {}}}, {USUAL: 3.5})
    write_results(tmp_path / "kept.json", results)

    assert read_results(tmp_path / "kept.json") == results


def test_cells() -> None:
    """A share with its counts, a rate, a line that nothing was counted for; before, now and plain."""
    arm, false = Line("arm", ""), Line("box false", "", share=False)
    now = {"rules": {"arm": (3, 4), "box false": (3, 2.0)}, "plain": {"arm": (1, 4)}}
    before = {"rules": {"arm": (2, 4), "box false": (5, 2.0)}, "plain": {}}

    assert written(arm, {"arm": (0, 0)}) == written(arm, {}) == "-"
    assert cell(arm, now, before) == "50 (2/4) → 75 (3/4); 25 (1/4)"
    assert cell(false, now, before) == "2.5 → 1.5"
    assert cell(false, now, None) == "1.5"


def test_a_run_goes_on_where_it_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Seeds that are kept are not run again, and the counts are those of one run over all."""
    asked: list[int] = []

    def counted(case: str, seed: int, rules: Path) -> tuple[str, int, dict[str, Counts], float]:
        asked.append(seed)
        return case, seed, {"rules": {"arm": (1, seed)}, "plain": {}}, 2.0 * seed

    monkeypatch.setattr(hard, "job", counted)
    run([USUAL, "one-box"], [1], jobs=1, keep=tmp_path / "kept.json")
    results = run([USUAL, "one-box"], [1, 3], jobs=1, keep=tmp_path / "kept.json")

    assert asked == [1, 1, 3, 3]
    assert results == read_results(tmp_path / "kept.json")
    assert (results.seeds, results.cases["one-box"]["rules"]["arm"]) == ((1, 3), (2, 4))
    assert results.seconds[USUAL] == 4.0


def test_every_line_is_counted_and_herds_add_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """All lines of the tables, over two seeds; and the page has a line for the case."""
    monkeypatch.setattr(hard, "spec_of", lambda case, seed: HerdSpec(30, 2, 20, seed, conditions=CASES[case]))
    results = run(["two-faults"], [5, 6], jobs=1)
    again = [job("two-faults", seed)[2] for seed in (5, 6)]
    rules = results.cases["two-faults"]["rules"]

    assert {line.key for lines in TABLES.values() for line in lines} <= set(rules)
    assert rules == added(one["rules"] for one in again)
    assert "| two-faults |" in page(results, None)
    assert rules["specific"][1] > 5000


def test_rules_that_are_not_there_find_nothing() -> None:
    """Without rules nothing is found and nothing is false, and the plain bounds are as they were."""
    herd = simulate(HerdSpec(40, 2, 30, 3, conditions=("two-faults", "bad-days")))
    some, none = counts_of(herd, shipped_rules()), counts_of(herd, {})

    assert none["plain"] == some["plain"]
    for line in ("box found", "box false", "clinical", "udder false", "rings"):
        assert none["rules"][line] == (0, some["rules"][line][1])
    assert none["rules"]["specific"][0] == none["rules"]["specific"][1] == some["rules"]["specific"][1]


def test_what_was_counted_before_is_of_the_reports_seeds() -> None:
    """So that the two columns are of the same herds; and there was something to find in them."""
    kept = read_results(BEFORE)

    assert kept.seeds == REPORTING[: len(kept.seeds)]
    assert set(kept.cases) == set(CASES)
    assert kept.cases[MORE]["rules"]["box found"][1] > 5 * len(kept.seeds)


def test_a_plain_alert_has_no_suspect() -> None:
    """So it is never right."""
    given = [Plain("failures", "box:1", 12 * H, None)]
    assert box_counts([fault("1", 10, 40)], [], given, 1, 60.0)["right"] == (0, 1)
