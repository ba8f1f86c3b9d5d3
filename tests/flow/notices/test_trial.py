"""A notice that only tries whether a channel works."""

from __future__ import annotations

from flow.notices.small_days import ZONE, at

from sentinel.flow.language import english
from sentinel.flow.notices.trial import trial


def test_a_trial_says_that_nothing_is_the_matter() -> None:
    """When it was sent, so that one that comes late is known; of its link only where it has one."""
    words = english(ZONE)
    title, body = trial("Hollow Farm", at("10:15"), False, words)
    _, linked = trial("Hollow Farm", at("10:15"), True, words)

    assert title == "Test from Hollow Farm"
    assert body == "Sent at 10:15 to check that notices arrive here. Nothing is wrong."
    assert linked.splitlines()[0] == body
    assert "until tomorrow" in linked.splitlines()[1]
