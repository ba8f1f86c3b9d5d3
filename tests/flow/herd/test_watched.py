"""What is being watched, and which way it goes."""

from __future__ import annotations

from sentinel.flow.herd.watched import alerts_in, watched
from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule

RULES = {"late-cow": Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", raise_over=14)}


def alert(number: int, urgency: str = "round", **more: object) -> Alert:
    """A standing alert on a cow."""
    return Alert(number, "late-cow", f"cow:{number}", 100 + number, 100, urgency, "late", **more)  # type: ignore[arg-type]


def test_one_trouble_is_told_once_and_what_gets_worse_first() -> None:
    """Two alerts of one incident are one; what is over, or explained by a quiet feed, is not told."""
    rising = alert(3, raised_value=15.0, worst_value=17.0, value=17.0)
    found = watched(
        [
            alert(1, incident=1),
            alert(2, incident=1),
            rising,
            alert(4, over_at=500),
            alert(6, "now"),
            Alert(5, "feed-quiet", "feed:x", 100, 100, "now", "quiet", covered_by=("feed-quiet feed:y",)),
        ],
        RULES,
    )

    assert [(one.alert.id, one.way, len(one.incident.alerts)) for one in found] == [
        (3, "worse", 1), (6, "steady", 1), (1, "steady", 2),
    ]  # fmt: skip
    assert alerts_in(found) == 4
