"""The middle in one screen: what a moment's rows mean, how far each table is known, and what an edit changed."""

from __future__ import annotations

import pytest
from text_tables import moment, table
from whole.whole_farm import BOX_FAILURES, LATE_COW, batch, setup_of

from sentinel.flow.alerts.links import Links, links_of
from sentinel.flow.decide import AHEAD_S, decide, rule_changes, without_future
from sentinel.flow.evaluation.known_until import known_by_table
from sentinel.flow.evaluation.pending import Look
from sentinel.flow.language import english
from sentinel.flow.model import State
from sentinel.flow.tables import FarmFacts, FeedFacts, Tables

VISITS = """
    cow  start  box  outcome
    7    00:00  1    milked
    9    05:00  1    failed
    9    05:10  1    failed
    9    05:20  1    failed
    8    14:30  2    milked
"""


def test_rules_are_judged_and_their_alerts_moved() -> None:
    """A late cow and a box that failed; the next moment at which time alone changes something is said."""
    rules = setup_of(LATE_COW + BOX_FAILURES).rules
    tables = Tables(visits=table("visits", VISITS))
    at = moment("14:30")
    found = decide(at, rules, lambda rule, measure: Look(tables), {"visits": at}, {}, 5, Links(), english("UTC"))

    assert [(a.id, a.rule, a.subject, a.text) for a in found.moved.alerts] == [
        (5, "late-cow", "cow:7", "Cow 7 not milked for 14 h 30 min"),
        (6, "box-failures", "box:1", "Box 1: 3 failures of 4"),
    ]
    assert found.judged["late-cow"].whole and not found.judged["box-failures"].whole
    assert (found.failures, found.due) == ({}, moment("14:30") + 14 * 3600 + 1)


def test_a_rule_that_need_not_look_says_nothing() -> None:
    """Its alerts stay as they are."""
    rules = setup_of(LATE_COW).rules
    found = decide(moment("20:00"), rules, lambda rule, measure: None, {}, {}, 1, Links(), english("UTC"))
    assert (found.judged, found.moved.alerts, found.due) == ({}, (), None)


@pytest.mark.parametrize(
    ("feeds", "known"),
    [
        ((FeedFacts("a", ("visits",), known_until=40),), {"visits": 40}),
        ((FeedFacts("a", ("visits",), known_until=40), FeedFacts("b", ("visits", "tank"), known_until=30)),
         {"visits": 30, "tank": 30}),
        ((FeedFacts("a", ("visits",), known_until=40), FeedFacts("b", ("visits",))), {"visits": None}),
        ((FeedFacts("b", ("visits",)), FeedFacts("a", ("visits",), known_until=40)), {"visits": None}),
        ((), {}),
    ],
)  # fmt: skip
def test_a_table_is_known_as_far_as_the_slowest_of_its_feeds(
    feeds: tuple[FeedFacts, ...], known: dict[str, int | None]
) -> None:
    """And not at all while one of them has given nothing."""
    assert {name: until for name, until in known_by_table(feeds).items() if "." not in name} == known


def test_the_boxes_a_cow_used_lately_and_the_feeds_a_rule_rests_on() -> None:
    """A week ago counts, longer ago does not."""
    visits = "cow  start  box  outcome\n7  00:00  1  milked\n7  1d00:00  2  failed\n8  7d00:00  2  milked"
    farm = FarmFacts(feeds=(FeedFacts("milkings", ("visits",)), FeedFacts("herd", ("cows",))))
    found = links_of(moment("7d12:00"), setup_of(LATE_COW).rules, Tables(visits=table("visits", visits)), farm)

    assert dict(found.boxes_of) == {"7": frozenset({"2"}), "8": frozenset({"2"})}
    assert dict(found.feeds_of) == {"late-cow": frozenset({"milkings"})}


def test_a_row_dated_after_its_file_came_is_set_aside_with_all_of_its_line() -> None:
    """Ten minutes are let pass, as clocks differ; of the line nothing is kept."""
    at = moment("06:00")
    text = "cow  start  outcome\n7  06:10  milked\n8  06:11  milked\n9  05:00  milked"
    found = without_future(batch(text, until="09:00"), at)

    assert [values[0] for values in found.rows[0].values] == ["7", "9"]
    assert [(one.line, str(one.reason)) for one in found.set_aside] == [
        (3, "the row is dated later than the arrival of its file")
    ]
    assert "cow=8" in found.set_aside[0].row
    assert [one.begin for one in found.set_aside] == [moment("06:11")]  # from then on its file may be read again
    assert found.complete_until == at
    assert AHEAD_S == 600


def test_a_file_without_such_rows_is_left_as_it_is() -> None:
    """Also its stamp, if that is past."""
    one = batch("cow  start  outcome\n7  05:00  milked", until="05:30")
    assert without_future(one, moment("06:00")) is one


def test_an_edit_is_told_in_words() -> None:
    """Which file, which rule, which field, from what to what; comments and places do not count."""
    old = setup_of(LATE_COW + BOX_FAILURES).rules
    new = setup_of("# moved down\n" + LATE_COW.replace("14 h", "12 h").replace("round", "now")).rules

    assert rule_changes(old, new) == [
        "rules/rules.yaml: box-failures was taken out",
        "rules/rules.yaml: late-cow: raise_over 14 → 12 h",
        "rules/rules.yaml: late-cow: urgency round → now",
    ]
    assert rule_changes(new, old)[0] == "rules/rules.yaml: box-failures was added"
    assert rule_changes(old, setup_of("# a comment\n" + LATE_COW + BOX_FAILURES).rules) == []


def test_a_failing_measure_is_a_problem_with_the_rules_place() -> None:
    """The other rules are decided all the same."""
    rules = setup_of(LATE_COW + BOX_FAILURES).rules
    broken = Tables(visits=table("visits", VISITS).drop(columns="outcome"))
    whole = Tables(visits=table("visits", VISITS))
    at = moment("14:30")
    found = decide(
        at, rules, lambda rule, measure: Look(broken if rule.name == "late-cow" else whole), {"visits": at}, {}, 1,
        Links(), english("UTC"),
    )  # fmt: skip

    assert [str(one) for one in found.failures.values()] == [
        "rules/rules.yaml:2:3: late-cow could not be decided: KeyError: 'outcome'"
    ]
    assert {v.state for v in found.judged["box-failures"].verdicts} >= {State.HOLDS}
