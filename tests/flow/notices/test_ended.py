"""The last notice: the store is damaged or gone, and nothing is being watched."""

from __future__ import annotations

from flow.notices.small_days import ZONE, at

from sentinel.edges.locales import words_in
from sentinel.flow.language import english
from sentinel.flow.notices.ended import ended
from sentinel.flow.notices.wording import TITLE_LENGTH


def test_the_last_notice_says_since_when_nothing_is_watched_and_what_to_do() -> None:
    """On the farm's clock, and that no alert will come."""
    title, body = ended("Hollow Farm", at("10:15"), english(ZONE))

    assert title == "Hollow Farm: nothing is being watched"
    assert "since 10:15 nothing is watched, and no alert comes" in body
    assert "until a backup is restored" in body
    assert len(title) <= TITLE_LENGTH


def test_the_last_notice_is_in_the_farms_language() -> None:
    """Whoever reads it needs it at once."""
    title, body = ended("Hollow Farm", at("10:15"), words_in("de", ",", ZONE))

    assert title.startswith("Hollow Farm: ")
    assert "10:15" in body
    assert "watch" not in title + body
