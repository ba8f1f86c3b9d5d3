"""The log, chosen and looked through."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from view_farm import AT

from sentinel.flow.alerts.chain import ENTRY_KINDS, START, Logged, chained
from sentinel.flow.model import Entry
from sentinel.flow.views.history import Choice, about, choices, chosen, history_page


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
