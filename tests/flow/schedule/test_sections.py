"""The sections of a round's list: what could not wait, then place by place, cows with their quarters."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from view_farm import AT, alert

from sentinel.flow.model import Alert
from sentinel.flow.schedule.sections import at_box, sections, seen_by


def listed(*alerts: Alert) -> list[tuple[str, list[int]]]:
    """The sections by their codes, with the numbers of their alerts."""
    return [(place.code, [one.id for one in here]) for place, here in sections(alerts, ("1", "2"))]


@pytest.mark.parametrize(
    ("subject", "there"),
    [
        ("box:1", True),
        ("chore:filter/2", True),
        ("chore:wire/east", False),
        ("chore:tank", False),
        ("cow:2", False),
        ("tank:1", False),
    ],
)
def test_a_chore_done_at_a_box_is_box_work(subject: str, there: bool) -> None:
    """Whoever goes there puts the box out of operation first; in the tank room there is none."""
    assert at_box(subject, ("1", "2")) is there


def test_what_could_not_wait_comes_first_and_the_tank_lies_with_the_boxes() -> None:
    """As one walks: boxes and milk room, cows, field, office."""
    found = listed(
        alert(1, "feed:visits"), alert(2, "chore:wire/east"), alert(3, "cow:9"), alert(4, "tank:1"),
        alert(5, "box:2"), alert(6, "cow:7", "now"),
    )  # fmt: skip

    assert found == [("pressing", [6]), ("boxes", [5, 4]), ("yard", [3]), ("field", [2]), ("office", [1])]


def test_a_cows_quarters_are_kept_with_her_and_the_longest_standing_come_first() -> None:
    """Cow 9's quarter has stood longest, so both of hers come before cow 7; what was answered comes last."""
    found = listed(
        alert(1, "cow:7", since="1d07:00"), alert(2, "cow:9", since="1d08:00"),
        alert(3, "quarter:9/LF", since="1d06:00"), alert(4, "cow:3", since="1d01:00", answered_at=AT),
    )  # fmt: skip

    assert found == [("yard", [3, 2, 1, 4])]


def test_the_files_of_a_feed_are_one_line() -> None:
    """The newest that nobody has answered; the others are part of the same trouble on its page."""
    found = listed(
        alert(1, "unread:visits/a", since="1d05:00"), alert(2, "unread:visits/b", since="1d06:00"),
        alert(3, "unread:visits/c", since="1d07:00", answered_at=AT), alert(4, "unread:tank/d"),
    )  # fmt: skip

    assert found == [("office", [2, 4])]


def test_files_are_on_the_list_of_who_looks_after_the_computer() -> None:
    """On everybody's if nobody does."""
    alerts = [alert(1, "unread:visits/a"), alert(2, "cow:7")]

    assert [one.id for one in seen_by("Anna", ("Ben",), alerts)] == [2]
    assert [one.id for one in seen_by("Ben", ("Ben",), alerts)] == [1, 2]
    assert [one.id for one in seen_by("Anna", (), alerts)] == [1, 2]


def test_what_is_over_only_kept_or_old_is_not_listed() -> None:
    """Nor a quiet feed that another feed's alert stands for."""
    found = listed(
        alert(1, "cow:1", over_at=AT), alert(2, "cow:2", "log"), alert(3, "cow:3", facts={"old_since": 1}),
        alert(4, "feed:tank", covered_by=("feed-quiet feed:visits",)),
        alert(5, "cow:5", covered_by=("box-quiet box:1",)),
    )  # fmt: skip

    assert found == [("yard", [5])]


SUBJECTS = st.sampled_from(["box:1", "cow:7", "cow:10", "quarter:7/LF", "herd", "tank:1", "chore:filter/2", "feed:a"])


@given(st.lists(st.tuples(SUBJECTS, st.sampled_from(["now", "round"]), st.booleans()), max_size=8), st.data())
def test_each_alert_is_listed_once_whatever_the_order(drawn: list[tuple[str, str, bool]], data: st.DataObject) -> None:
    """The list does not depend on which alert was raised first."""
    alerts = [alert(n, s, u, answered_at=AT if done else None) for n, (s, u, done) in enumerate(drawn)]
    found = listed(*alerts)

    assert sorted(number for _, here in found for number in here) == list(range(len(alerts)))
    assert listed(*data.draw(st.permutations(alerts))) == found
