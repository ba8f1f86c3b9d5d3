"""Feeds, rules and the log, as the office looks at them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_tables import moment, moment_text
from view_farm import AT, alert, rows, the_rules

from sentinel.flow.chain import START, Logged, chained
from sentinel.flow.model import ENTRY_KINDS, Entry
from sentinel.flow.reasons import as_said, in_english
from sentinel.flow.rulebook import load_rules
from sentinel.flow.tables import FeedFacts
from sentinel.flow.views.feeds import feeds_page
from sentinel.flow.views.history import Choice, about, choices, chosen, history_page
from sentinel.flow.views.rules import Threshold, rule_shown, rules_page

FILES = """
feed    file     at       rows_read  rows_set_aside  reason
visits  a.csv    06:00    100        0               -
visits  b.csv    1d11:00  40         0               -
visits  c.csv    1d11:30  30         2               no time
tank    d.json   1d06:00  24         0               -
"""
NO_TIME, NO_MAP = as_said("no time"), as_said("no map reads it")
ASIDE = [
    {
        "feed": "visits",
        "file": "c.csv",
        "at": moment("1d11:30"),
        "line": 7,
        "row": "7;<b>",
        "reason": NO_TIME,
    },
    {"feed": "visits", "file": "c.csv", "at": moment("1d11:30"), "line": 3, "row": "3;x", "reason": as_said("no cow")},
    {
        "feed": "gone",
        "file": "x.csv",
        "at": moment("06:00"),
        "line": 0,
        "row": "",
        "reason": NO_MAP,
    },
]


def test_feeds_say_what_was_read_when_and_what_was_set_aside_with_its_row() -> None:
    """The one that is behind first; a feed of which only rows set aside are known is there too."""
    tables = rows(files=FILES)
    feeds = (
        FeedFacts("visits", ("visits", "visits.cow"), "hourly", AT),
        FeedFacts("tank", ("tank",), "daily", AT - 200_000),
    )
    found = feeds_page(replace(tables, farm=replace(tables.farm, feeds=feeds)), ASIDE, [], the_rules(), AT)
    assert [(f.line.feed, f.line.behind, f.pace, f.tables) for f in found] == [
        ("tank", True, "daily", ("tank",)), ("gone", False, "", ()), ("visits", False, "hourly", ("visits",)),
    ]  # fmt: skip
    tank, gone, visits = found
    assert [(f.file, f.rows_read, f.rows_set_aside, in_english(f.reason)) for f in visits.files] == [
        ("c.csv", 30, 2, "no time"), ("b.csv", 40, 0, ""), ("a.csv", 100, 0, ""),
    ]  # fmt: skip
    assert (visits.files_24h, visits.rows_24h, moment_text(visits.last_read_at or 0)) == (2, 70, "1d11:30")
    assert [(a.line, a.row, str(a.reason)) for a in visits.aside] == [(3, "3;x", "no cow"), (7, "7;<b>", "no time")]
    assert (len(gone.aside), gone.last_read_at, tank.rows_24h) == (1, None, 24)


def test_a_long_list_of_rows_set_aside_says_how_many_more_there_are() -> None:
    """The page stays short, and nothing is left unsaid."""
    many = [{**ASIDE[0], "line": n} for n in range(1, 81)]
    [visits] = [f for f in feeds_page(rows(), many, [], {}, AT) if f.line.feed == "visits"]
    assert (len(visits.aside), visits.aside_more) == (50, 30)


def test_a_rule_is_told_with_its_thresholds_by_case() -> None:
    """The first case that fits counts; one with a bound of its own takes neither other bound from the rule."""
    rule = the_rules()["late-cow"].model_copy(
        update={"now_over": 18.0, "clear_under": 13.0, "about": "Hours.\n\n14 h is common practice.\n"}
    )
    told = rule_shown(rule)
    assert [(case.where, case.thresholds) for case in told.cases] == [
        ((("milkings_allowed", ("1",)),), (Threshold("raise", True, 26.0, "h"),)),
        ((), (
            Threshold("raise", True, 14.0, "h"), Threshold("now", True, 18.0, "h"),
            Threshold("clear", False, 13.0, "h"),
        )),
    ]  # fmt: skip
    assert (told.about, told.where) == (("Hours.", "14 h is common practice."), (("status", ("milking",)),))
    assert told.measures.startswith("h since")


def test_what_came_of_a_rule_on_this_farm_is_counted() -> None:
    """To tune it: raised, standing, answered, and what was found how often."""
    alerts = [
        alert(1, "cow:1", over_at=AT, answered_at=AT, finding="still at grass"),
        alert(2, "cow:2", answered_at=AT, finding="brought up"),
        alert(3, "cow:3", answered_at=AT, finding="still at grass"),
        alert(4, "cow:4"),
        alert(5, "box:1", rule="filter-overdue"),
    ]
    told = {rule.name: rule.came for rule in rules_page(the_rules(), alerts)}
    late = told["late-cow"]
    assert (late.raised, late.standing, late.answered) == (4, 3, 3)
    assert late.findings == (("still at grass", 2), ("brought up", 1))
    assert (told["filter-overdue"].raised, told["chore-due"].raised) == (1, 0)


SHIPPED = sorted((Path(__file__).parents[3] / "rules").glob("*.yaml"))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_shipped_rule_says_its_bound_and_where_it_comes_from(path: Path) -> None:
    """Each case raises past a figure in the rule's unit, the measure names its source, and `about` is not empty."""
    rules, problems = load_rules(path.read_text(encoding="utf-8"), f"rules/{path.name}")
    assert problems == []
    for told in rules_page({rule.name: rule for rule in rules}):
        for case in told.cases:
            assert any(threshold.kind == "raise" and threshold.unit for threshold in case.thresholds)
        assert told.measure_source
        assert told.about
        assert told.place.startswith(f"rules/{path.name}:")


def the_log() -> list[Logged]:
    """A small log."""
    return chained(
        [
            Entry(AT - 900, "start"),
            Entry(AT - 800, "raised", 1, "late-cow", "cow:217", body={"text": "Cow 217"}),
            Entry(AT - 700, "raised", 2, "quarter-conductivity", "quarter:217/LF", body={"text": "Cow 217, LF"}),
            Entry(AT - 600, "notice", 1, person="Marit", body={"kind": "alert"}),
            Entry(AT - 500, "answer", 1, "late-cow", "cow:217", "Marit", {"finding": "brought up"}),
            Entry(AT - 400, "answer", 2, "quarter-conductivity", "quarter:217/LF", "Tomas", {"finding": ""}),
            Entry(AT - 300, "over", 1, "late-cow", "cow:217", body={"why": "the condition ended"}),
            Entry(AT - 200, "chore", subject="chore:filter/2", person="Tomas"),
        ],
        START,
        0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("choice", "numbers"),
    [
        (Choice(), [1, 2, 3, 4, 5, 6, 7, 8]),
        (Choice(since=AT - 500, until=AT - 300), [5, 6, 7]),
        (Choice(kind="raised"), [2, 3]),
        (Choice(subject="cow:217"), [2, 3, 5, 6, 7]),
        (Choice(subject="217"), [2, 3, 5, 6, 7]),
        (Choice(subject="box:2"), [8]),
        (Choice(subject="filter"), [8]),
        (Choice(person="Tomas"), [6, 8]),
        (Choice(finding="brought up"), [5]),
        (Choice(rule="late-cow", kind="answer"), [5]),
        (Choice(alert=1), [2, 4, 5, 7]),
        (Choice(subject="cow:21"), []),
    ],
)
def test_the_log_is_chosen_by_what_is_asked(choice: Choice, numbers: list[int]) -> None:
    """Time, kind, subject, person, finding, rule, alert, and any of them together."""
    assert [one.seq for one in chosen(the_log(), choice)] == numbers


def test_history_shows_the_newest_first_and_an_alerts_story_in_order() -> None:
    """A long log is cut, saying how many entries are older; a story never is."""
    page = history_page(the_log(), Choice(), most=3)
    assert ([one.seq for one in page.entries], page.more) == ([8, 7, 6], 5)
    story = history_page(the_log(), Choice(alert=1), most=2)
    assert ([one.seq for one in story.entries], story.more) == ([2, 4, 5, 7], 0)


def test_what_there_is_to_choose_from_is_named() -> None:
    """Without the empty ones."""
    found = choices(the_log())
    assert (found.persons, found.findings) == (("Marit", "Tomas"), ("brought up",))
    assert (found.rules, found.kinds) == (
        ("late-cow", "quarter-conductivity"), ("answer", "chore", "notice", "over", "raised", "start"),
    )  # fmt: skip


@given(
    st.builds(
        Choice,
        since=st.none() | st.integers(AT - 900, AT),
        until=st.none() | st.integers(AT - 900, AT),
        kind=st.sampled_from(["", *ENTRY_KINDS]),
        person=st.sampled_from(["", "Marit", "Tomas"]),
        subject=st.sampled_from(["", "217", "cow:217", "LF", "box:2", "<x>"]),
    )
)
def test_each_condition_only_takes_away(choice: Choice) -> None:
    """What is chosen by several conditions is chosen by each of them alone."""
    alone = [
        replace(Choice(), **{name: getattr(choice, name)}) for name in ("since", "until", "kind", "person", "subject")
    ]
    sets = [{one.seq for one in chosen(the_log(), each)} for each in alone]
    assert {one.seq for one in chosen(the_log(), choice)} == set.intersection(*sets)


NUMBER = st.text(st.characters(exclude_characters="/:", exclude_categories=("Z", "C")), min_size=1, max_size=6)


@given(NUMBER, NUMBER)
def test_a_cow_is_found_by_any_number_she_may_have(number: str, other: str) -> None:
    """She and her quarters, by her number or her subject, and none by another's number."""
    for subject in (f"cow:{number}", f"quarter:{number}/LF"):
        assert about(subject, number)
        assert about(subject, f"cow:{number}")
        assert about(subject, f"cow:{other}") == (other.lower() == number.lower())
