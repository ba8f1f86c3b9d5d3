"""What is being watched, and which way it goes."""

from __future__ import annotations

import pytest

from sentinel.flow.herd.watched import watched, way_of
from sentinel.flow.model import Alert

COURSE = "raised at 12, now 14"


def alert(number: int, urgency: str = "round", **more: object) -> Alert:
    """A standing alert on a cow."""
    return Alert(number, "late-cow", f"cow:{number}", 100 + number, 100, urgency, "late", **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("raised", "worst", "now", "course", "eased", "way"),
    [
        (12.0, 12.0, 12.0, "", "", "steady"),
        (12.0, 14.0, 14.0, COURSE, "", "worse"),
        (12.0, 14.0, 13.95, COURSE, "", "worse"),
        (12.0, 14.0, 12.5, COURSE, "", "easing"),
        (12.0, 12.0, 10.0, COURSE, "", "easing"),
        (1.5, 1.2, 1.2, COURSE, "", "worse"),
        (12.0, 14.0, 14.0, COURSE, "16 h", "easing"),
        (12.0, 12.01, 12.01, "", "", "steady"),
        (None, None, None, "", "", "steady"),
    ],
)
def test_which_way_it_goes(raised: float, worst: float, now: float, course: str, eased: str, way: str) -> None:
    """Also of a rule that raises under its bound; what a person is shown as one figure is no change."""
    assert way_of(alert(1, raised_value=raised, worst_value=worst, value=now, course=course, eased=eased)) == way


def test_one_trouble_is_told_once_and_what_gets_worse_first() -> None:
    """Two alerts of one incident are one; what is over, or explained by a quiet feed, is not told."""
    rising = alert(3, raised_value=12.0, worst_value=14.0, value=14.0, course=COURSE)
    found = watched(
        [
            alert(1, incident=1),
            alert(2, incident=1),
            rising,
            alert(4, over_at=500),
            alert(6, "now"),
            Alert(5, "feed-quiet", "feed:x", 100, 100, "now", "quiet", covered_by=("feed-quiet feed:y",)),
        ]
    )

    assert [(one.alert.id, one.way, len(one.incident.alerts)) for one in found] == [
        (3, "worse", 1), (6, "steady", 1), (1, "steady", 2),
    ]  # fmt: skip
