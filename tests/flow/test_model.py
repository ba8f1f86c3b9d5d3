"""The nouns that every room shares: a subject's kind and name, where something stands, an alert's state."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.model import Alert, Chore, Problem, Source, Tick, kind_of, name_of

ALERT = Alert(1, "late-cow", "cow:7", raised_at=100, since=40, urgency="round", text="Cow 7 is late")


@given(st.from_regex(r"\A[a-z]{1,5}\Z"), st.text(max_size=8))
def test_a_subject_is_its_kind_and_its_name(kind: str, name: str) -> None:
    """Whatever the cow is called, also with a colon in it."""
    assert (kind_of(f"{kind}:{name}"), name_of(f"{kind}:{name}")) == (kind, name)


def test_a_problem_says_where_it_stands_as_far_as_it_is_known() -> None:
    """File, line and column, as editors read them."""
    assert str(Problem(Source("farm.yaml", 3, 5), "zone: is missing")) == "farm.yaml:3:5: zone: is missing"
    assert str(Source("farm.yaml", 3)) == "farm.yaml:3"
    assert str(Source("farm.yaml")) == "farm.yaml"


def test_an_alert_stands_until_it_is_over_whether_answered_or_not() -> None:
    """An answer at the very first second counts as one."""
    assert (ALERT.standing, ALERT.answered, ALERT.old) == (True, False, False)
    assert replace(ALERT, answered_at=0).answered
    assert replace(ALERT, answered_at=0).standing
    assert not replace(ALERT, over_at=0).standing
    assert replace(ALERT, facts={"old_since": 10}).old


def test_what_a_quiet_feed_explains_has_no_line_of_its_own() -> None:
    """An alert on a feed or a rule that another covers is left out; a covered cow keeps her line."""
    covered = replace(ALERT, covered_by=("feed-quiet feed:visits",))

    assert ALERT.listed and covered.listed
    assert replace(ALERT, subject="feed:tank").listed
    assert not replace(covered, subject="feed:tank").listed
    assert not replace(covered, subject="rule:late-cow").listed


def test_a_tick_says_whether_people_or_channels_said_something() -> None:
    """An export alone says nothing."""
    assert not Tick(100).has_inputs
    assert Tick(100, chores=(Chore("filter", "2", 90, "Marit"),)).has_inputs
