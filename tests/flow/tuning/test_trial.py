"""One rule laid out to be tried by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_farm import AT, RULES, a_trial

from sentinel.flow.rules import Rule, Setting, load_rules
from sentinel.flow.schedule.days import days_of
from sentinel.flow.tuning.sweep import History, Tried, tried
from sentinel.flow.tuning.trial import can_be_tried, peaks_of


def rules() -> dict[str, Rule]:
    """Those of the page's small farm."""
    return {one.name: one for one in load_rules(RULES, "rules/boxes.yaml")[0]}


def test_its_own_bound_is_among_the_values() -> None:
    """Five failures, between half and twice as many."""
    trial = a_trial(rules()["box-failures"], AT)

    assert trial.stops[trial.own] == ("raise_over", "5 failures")
    assert (trial.stops[0][1], trial.stops[-1][1]) == ("2 failures", "10 failures")
    assert trial.at(trial.own) == (trial.now, "")


def test_a_value_is_tried_when_it_is_asked_for() -> None:
    """As the rule with that bound would be."""
    trial = a_trial(rules()["box-failures"], AT)
    found, why = trial.at(0)

    assert (found is not None, why) == (True, "")
    assert found == tried(trial.history, found.rule, (("raise_over", "2 failures"),))
    assert len(found.raised) > len(trial.now.raised)


def test_a_value_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever asks for it again, as a slider does and the report card."""
    trial, asked = a_trial(rules()["box-failures"], AT), []

    def counting(history: History, rule: Rule, settings: tuple[Setting, ...] = ()) -> Tried:
        asked.append(settings)
        return tried(history, rule, settings)

    monkeypatch.setattr("sentinel.flow.tuning.trial.tried", counting)
    first = trial.at(0)

    assert trial.at(0) is first
    assert (trial.at(1)[0] is not first[0], len(asked)) == (True, 2)


def test_peaks_are_of_the_farms_days() -> None:
    """In Auckland two readings of one day by UTC are of two days, twelve hours on."""
    trial = a_trial(rules()["box-failures"], AT)
    farm = replace(trial.history.tables.farm, zone="Pacific/Auckland")
    peaks = peaks_of(replace(trial.history, tables=replace(trial.history.tables, farm=farm)))
    days = days_of(peaks.at, "Pacific/Auckland").tolist()

    assert len(set(days)) == len(days)
    assert len(set((peaks.at // 86400).tolist())) < len(days)


def test_peaks_are_the_the_worst_of_each_day() -> None:
    """Of box 2, a day each; none is beaten by another reading of its day."""
    trial = a_trial(rules()["box-failures"], AT)
    peaks, series = trial.peaks, trial.history.series

    assert set(peaks.subject) == {"box:2"}
    assert len(set(peaks.at // 86400)) == len(peaks.at) == 8
    for at, value in zip(peaks.at, peaks.value, strict=True):
        same_day = (series.at // 86400 == at // 86400) & (series.at >= trial.history.since)
        assert value == series.value[same_day & (series.value == series.value)].max()


def test_of_elapsed_time_the_peak_is_what_it_came_to() -> None:
    """A visit each half hour: never more than half an hour since the last at box 2, but before the first."""
    quiet = Rule(name="quiet", measure="box_quiet_min", per="box", unit="min", raise_over=20)
    peaks = a_trial(quiet, AT).peaks
    at_box_2 = [float(value) for one, value in zip(peaks.subject, peaks.value, strict=True) if one == "box:2"]

    assert at_box_2[1:] == [30.0] * 7


def test_what_cannot_be_tried() -> None:
    """A rule on when files came, and one that raises past nothing at all."""
    nothing = Rule(name="nothing", measure="failed_attachments", per="box", unit="failures", raise_over=0)
    aside = Rule(name="aside", measure="rows_set_aside", per="file", unit="rows", raise_over=5)

    assert [can_be_tried(one) for one in (*rules().values(), nothing, aside)] == [True, True, False, False]
