"""A farm folder's texts read together, and what the measures may know of the farm."""

from __future__ import annotations

from dataclasses import replace

import pytest
from whole.whole_farm import BOX_FAILURES, FARM, FEED, HERD_FEED, LATE_COW, setup_of

from sentinel.flow.evaluation.pace import pace_said
from sentinel.flow.setup import changed_settings, farm_facts, read_setup
from sentinel.flow.tables import FeedFacts


def test_every_problem_of_every_file_is_told_at_once() -> None:
    """With its file and line; nothing is used while anything is wrong."""
    setup, problems = read_setup(
        {
            "farm.yaml": FARM.replace("zone: UTC", "zone: Mars"),
            "rules/cows.yaml": LATE_COW.replace("raise_over", "raise_ovr"),
            "rules/boxes.yaml": BOX_FAILURES + BOX_FAILURES,
            "feeds/a.yaml": FEED.replace("outcome", "outcom"),
        }
    )

    assert setup is None
    assert {problem.source.name for problem in problems} == {
        "farm.yaml", "rules/cows.yaml", "rules/boxes.yaml", "feeds/a.yaml",
    }  # fmt: skip
    assert all(problem.source.line for problem in problems)


def test_a_folder_without_farm_yaml_is_told_what_to_do() -> None:
    """`sentinel init` makes one."""
    setup, [problem] = read_setup({"rules/cows.yaml": LATE_COW})
    assert setup is None
    assert "sentinel init" in problem.message


def known(
    setup_feeds: tuple[str, ...], state: dict[str, tuple[tuple[str, ...], int | None]], not_used: str = ""
) -> list[str]:
    """The feeds the measures see, with their pace and known-until."""
    farm = FARM + (f"not_used: [{not_used}]\n" if not_used else "")
    facts = farm_facts(setup_of(LATE_COW, setup_feeds, farm), state, 5, {})
    return [f"{feed.name} {feed.pace} {feed.known_until} {feed.watched_since}" for feed in facts.feeds]


def test_feeds_are_those_with_a_map_whether_they_came_or_not() -> None:
    """One that came without a map any more does not count, unless it is the one that needs none."""
    came = {"milkings": (("visits",), 40), "icar": (("visits",), 30), "old": (("tank",), 20)}
    assert known((FEED, HERD_FEED), came) == ["milkings hourly 40 5", "herd daily None 5", "icar hourly 30 5"]


def test_a_feed_that_is_no_longer_used_does_not_hold_up_the_rules() -> None:
    """Neither a mapped one nor the one without a map."""
    came = {"milkings": (("visits",), 40), "icar": (("visits",), 30)}
    assert known((FEED, HERD_FEED), came, "herd, icar") == ["milkings hourly 40 5"]


def test_the_feed_without_a_map_always_fills_visits() -> None:
    """Also when its first file only repeated rows that another feed had given."""
    facts = farm_facts(setup_of(LATE_COW), {"icar": ((), 30)}, 5, {})
    assert FeedFacts("icar", ("visits", "quarters"), "hourly", 30, 5, learns=True) in facts.feeds


@pytest.mark.parametrize(("start", "whole"), [("{stamp: true}", True), ("Since", False)])
def test_a_herd_list_is_whole_when_its_rows_hold_from_the_files_own_stamp(start: str, whole: bool) -> None:
    """Then a cow it leaves out has gone."""
    stamp = 'complete_until: {from: file_name, pattern: "herd_%Y%m%d"}\n'
    feed = HERD_FEED.replace("from: Since", f"from: {start}").replace("tables:", f"{stamp if whole else ''}tables:")
    assert farm_facts(setup_of(LATE_COW, (feed,)), {}, 0, {}).whole_herd_lists is whole


def test_a_threshold_can_be_tried_out_as_it_is_written_in_the_file() -> None:
    """The setup is the same but for that field."""
    setup = setup_of(LATE_COW + BOX_FAILURES)
    changed, problems = changed_settings(setup, ["late-cow.raise_over=12 h"])

    assert problems == []
    assert changed is not None
    assert (setup.rules["late-cow"].raise_over, changed.rules["late-cow"].raise_over) == (14.0, 12.0)
    assert replace(changed, rules=setup.rules) == setup


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("late-cow.raise_over=12", "12"),
        ("late-cow.raise_ovr=12 h", "raise_over"),
        ("late-caw.raise_over=12 h", "late-cow"),
        ("late-cow=12 h", "RULE.FIELD=VALUE"),
        ("late-cow.raise_over", "RULE.FIELD=VALUE"),
    ],
)
def test_a_setting_that_makes_no_sense_says_what_would(setting: str, said: str) -> None:
    """A number without its unit, a misspelt field or rule, a piece left out."""
    changed, problems = changed_settings(setup_of(LATE_COW), [setting])
    assert changed is None
    assert said in " ".join(str(problem) for problem in problems)


def test_how_often_a_feed_without_a_map_comes_is_said_in_farm_yaml() -> None:
    """One with a map says it there, and a name that no feed has is nobody's."""
    farm = FARM + "feeds: {icar: {every: 2 h}}\n"
    facts = farm_facts(setup_of(LATE_COW, (), farm), {"icar": (("visits",), 30)}, 5, {})
    [icar] = facts.feeds

    assert (icar.every_s, icar.quiet_least_s, icar.learns) == (7200, 3 * 3600, False)
    for feeds, said in (
        ("{milkings: {every: 2 h}}", "feeds.milkings: this feed has a map; say there how often it comes (every: 2 h)"),
        ("{icra: {every: 2 h}}", 'feeds.icra: no feed without a map is called so (did you mean "icar"?)'),
    ):
        texts = {"farm.yaml": FARM + f"feeds: {feeds}\n", "feeds/m.yaml": FEED, "rules/r.yaml": LATE_COW}
        setup, [problem] = read_setup(texts)
        assert setup is None
        assert problem.message == said


def test_feeds_without_a_map_are_taken_to_come_as_their_kind_does() -> None:
    """Until their files tell: visits every hour, what becomes of cows every week, test days every month."""
    state: dict[str, tuple[tuple[str, ...], int | None]] = {
        name: ((), 30) for name in ("icar", "icar-cows", "icar-tests", "icar-other")
    }
    daily = {"icar-cows": pace_said(24 * 3600), "icar": pace_said(6 * 3600)}
    setup = setup_of(LATE_COW, ())

    assert [(one.name, one.pace) for one in farm_facts(setup, state, 5, {}).feeds] == [
        ("icar", "hourly"),
        ("icar-cows", "weekly"),
        ("icar-tests", "monthly"),
    ]
    assert [(one.name, one.pace, one.every_s) for one in farm_facts(setup, state, 5, {}, daily).feeds] == [
        ("icar", "hourly", 6 * 3600),
        ("icar-cows", "weekly", 24 * 3600),
        ("icar-tests", "monthly", None),
    ]
