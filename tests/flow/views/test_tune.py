"""Another bound of a rule, tried on the last while."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_farm import AT, RULES, a_trial

from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tuning.trial import Trial
from sentinel.flow.views.tune import Weekly, tune_page
from sentinel.flow.yaml.text import read_yaml


@pytest.fixture(scope="module")
def trial() -> Trial:
    """The small farm's rule on boxes, at five failures."""
    return a_trial(load_rules(RULES, "rules/boxes.yaml")[0][0], AT)


def test_the_rule_as_it_is_changes_nothing(trial: Trial) -> None:
    """Two alerts in a week, one of which was looked into, for nothing."""
    page = tune_page(trial)

    assert (page.place, page.said, page.moved, page.gone) == (page.own, "5 failures", (), 0)
    assert page.now == page.tried
    assert page.now.alerts == pytest.approx(2, abs=0.1)
    assert (page.real, page.looked_into, page.real_from, page.real_to) == (0, 1, 0, 79)


def test_a_lower_bound_tells_more_that_nobody_could_look_into(trial: Trial) -> None:
    """What would appear is named, the newest first, and drawn."""
    page = tune_page(trial, 0)

    assert page.tried.alerts > page.now.alerts
    assert [one.how for one in page.moved] == ["new"] * len(page.moved)
    assert [one.at for one in page.moved] == sorted((one.at for one in page.moved), reverse=True)
    assert {(one.about.subject, one.about.page, one.value.split()[1]) for one in page.moved} == {
        ("box:2", "box", "failures")
    }
    assert page.fresh > tune_page(trial).fresh
    assert page.picture.sentences == (f"{len(page.moved)} alerts would appear, 0 would go.",)


def test_a_higher_bound_says_what_would_go_and_how_many_answers_that_rests_on(trial: Trial) -> None:
    """One answer is not enough."""
    page = tune_page(trial, len(trial.stops) - 1)

    assert page.tried == Weekly(0.0, 0.0)
    assert {one.how for one in page.moved} == {"missed"}
    assert (page.gone, page.for_nothing, page.missed, page.wanted) == (1, 1, 0, 16)


def test_a_place_beyond_the_last_is_the_last(trial: Trial) -> None:
    """Whatever an address says."""
    assert [tune_page(trial, n).place for n in (-5, 999)] == [0, len(trial.stops) - 1]


def test_what_has_to_move_along_is_named() -> None:
    """The pressing bound of a rule on quiet boxes."""
    quiet = Rule(
        name="quiet", measure="box_quiet_min", per="box", unit="min", raise_over=20, now_over=25,
        text="- rule: quiet\n  measure: box_quiet_min\n  raise_over: 20 min\n  now_over: 25 min\n  urgency: round\n"
        '  say: "{value}"\n',
    )  # fmt: skip
    trial = a_trial(quiet, AT)

    page = tune_page(trial, len(trial.stops) - 1)

    assert page.along == ("now_over 50 min",)
    assert (page.settings, page.unwritten) == ((("raise_over", "40 min"), ("now_over", "50 min")), ())


def test_a_key_that_the_file_does_not_have_is_named(trial: Trial) -> None:
    """The rule says its bound in a way that is read and not found in its own lines."""
    document, _ = read_yaml(trial.history.rule.text.replace("  raise_over: 5 failures\n", ""), "rules/boxes.yaml")

    assert tune_page(trial, 0).unwritten == ()
    assert tune_page(replace(trial, document=document, found={}), trial.own).unwritten == ("raise_over",)
