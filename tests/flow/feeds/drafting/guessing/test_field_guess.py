"""A guess below the stated certainty is asked."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.guessing.field_guess import SURE_PERCENT, Guess
from sentinel.flow.feeds.drafting.sample.profile import Source


def test_a_guess_is_asked_below_the_stated_certainty() -> None:
    """At it, it is written without a question."""
    sure, unsure = (Guess("cow", Source("Cow", ()), percent) for percent in (SURE_PERCENT, SURE_PERCENT - 1))

    assert (sure.asked, unsure.asked) == (False, True)
