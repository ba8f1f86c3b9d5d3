"""What still stands unanswered, told by a channel that works again."""

from __future__ import annotations

from typing import Any

import pytest
from flow.notices.small_days import alert, at, desk, person

from sentinel.flow.notices.still import STILL, presses_still, still_notice
from sentinel.flow.notices.wants import TELLING
from sentinel.flow.notices.wording import TITLE_LENGTH

NOON = at("12:00")


@pytest.mark.parametrize(
    ("given", "presses"),
    [
        ({}, True),
        ({"urgency": "round"}, False),
        ({"over_at": at("11:00")}, False),
        ({"answered_at": at("11:00")}, False),
        ({"covered_by": ("box-quiet box:1",)}, False),
        ({"facts": {"old_since": 1}}, False),
        ({"lies_with": "Onno", "lies_from": at("14:00")}, False),
        ({"lies_with": "Onno", "lies_from": at("11:00")}, True),
    ],
)
def test_only_what_nobody_has_taken_on_is_told_again(given: dict[str, Any], presses: bool) -> None:
    """It stands, could not wait, and nothing holds it back; what was put off counts again from its time on."""
    assert presses_still(alert(1, at("10:00"), **given), NOON) is presses


def test_several_are_one_notice_with_the_longest_standing_first() -> None:
    """And the caution of boxes, as one of them sends somebody there."""
    alerts = [alert(2, at("10:30"), subject="cow:7"), alert(1, at("10:00"))]
    sent = still_notice(NOON, desk(person("Marit")), person("Marit"), alerts, at("09:55"))

    assert (sent.kind, sent.urgency, sent.alerts) == (STILL, "now", (1, 2))
    assert sent.title == "2 alerts still open"
    assert sent.body.splitlines() == [
        "Notices since 09:55 did not arrive here. These alerts are still open, and nobody has answered:",
        "Put the box out of operation first, as its manual says, before you step or reach in.",
        "- Alert 1, since 10:00",
        "- Alert 2, since 10:30",
    ]


def test_a_single_one_is_told_with_what_to_look_at_first() -> None:
    """As the notice that did not arrive would have been; its title fits a lock screen."""
    text = "Cow 7 not milked for 16 h 30 min, which is a good deal longer than she is used to"
    one = alert(1, at("10:00"), text, subject="cow:7", caution=("Ask the vet",), look_first=("a", "b", "c", "d"))
    sent = still_notice(NOON, desk(person("Marit")), person("Marit"), [one], at("09:55"))

    assert sent.title.startswith("Still: Cow 7 not milked") and len(sent.title) <= TITLE_LENGTH
    assert sent.body.splitlines()[2:] == ["Look first:", "- Ask the vet", "- a", "- b", "- c"]


def test_who_was_told_so_has_been_told() -> None:
    """Or the same would be told once more as an alert."""
    assert STILL in TELLING
