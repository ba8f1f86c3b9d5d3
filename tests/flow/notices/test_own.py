"""Sentinel's own troubles in words: what they mean for the farm, and who is told of them in which order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from flow.notices.small_days import ZONE, at, person

from sentinel.edges.locales import words_in
from sentinel.flow.language import english
from sentinel.flow.notices.own import Trouble, headline_of, tell_order, trouble_notice, trouble_over

WORDS = english(ZONE)
TROUBLES: list[tuple[str, dict[str, Any], str]] = [
    ("disk-full", {}, "The disk of the farm's computer is full"),
    ("disk-low", {"free_mb": 120}, "The disk of the farm's computer is nearly full: 120 MB left"),
    ("store", {}, "Sentinel's store cannot be written"),
    ("looks", {}, "Sentinel cannot look at the exports"),
    ("inbox", {}, "The exports cannot be reached"),
    ("file", {"file": "a.csv"}, "The export a.csv cannot be processed"),
    ("clock", {}, "The clock of the farm's computer is wrong"),
    ("clock", {"by_min": 1}, "The clock of the farm's computer jumped by 1 minute"),
    ("rule", {}, "The rule late-cow cannot be decided"),
]


@pytest.mark.parametrize(("kind", "facts", "headline"), TROUBLES)
def test_each_trouble_says_what_it_is_since_when_and_what_to_do(
    kind: str, facts: dict[str, Any], headline: str
) -> None:
    """Its title is its first sentence; what the computer said of it comes last."""
    trouble = Trouble(kind, "late-cow" if kind == "rule" else "", at("10:00"), facts | {"why": "no reply"})
    title, body = trouble_notice(trouble, at("10:05"), WORDS)
    lines = body.splitlines()

    assert title == headline_of(trouble, WORDS) == headline
    assert lines[:2] == [f"{headline}.", "Since 10:00."]
    assert len(lines) > 3
    assert lines[-1] == "It said: no reply"


@pytest.mark.parametrize(("kind", "facts"), [one[:2] for one in TROUBLES])
def test_each_trouble_is_told_in_the_farms_language(kind: str, facts: dict[str, Any]) -> None:
    """No sentence of it stays English."""
    trouble = Trouble(kind, "late-cow" if kind == "rule" else "", at("10:00"), facts)
    english_lines = trouble_notice(trouble, at("10:05"), WORDS)[1].splitlines()
    german_lines = trouble_notice(trouble, at("10:05"), words_in("de", ",", ZONE))[1].splitlines()

    assert len(german_lines) == len(english_lines)
    assert not set(german_lines) & set(english_lines)


def test_its_end_says_how_long_it_lasted() -> None:
    """To those who were told of it."""
    title, body = trouble_over(Trouble("inbox", since=at("10:00")), at("11:30"), WORDS)

    assert title == "Over: The exports cannot be reached"
    assert body == "It lasted from 10:00 until 11:30. Sentinel carries on as before."


def test_the_same_trouble_has_the_same_key() -> None:
    """Of two rules there are two, whenever they began."""
    assert Trouble("rule", "late-cow", 5).key == Trouble("rule", "late-cow", 9).key == "rule:late-cow"
    assert Trouble("rule", "box-quiet").key != Trouble("rule", "late-cow").key
    assert Trouble("store").key == "store"


def test_whoever_looks_after_the_computer_is_told_first() -> None:
    """By each of their channels, then the others as they are listed; nobody outside their hours."""
    people = (
        person("Marit"), replace(person("Onno", computer=True), channels=("onno-phone", "onno-mail")),
        person("Wiebe", now="22:00-05:00"),
    )  # fmt: skip

    assert tell_order(people, at("10:00"), ZONE) == [
        ("Onno", "onno-phone"), ("Onno", "onno-mail"), ("Marit", "marit-phone"),
    ]  # fmt: skip
    assert tell_order(people[::2], at("23:00"), ZONE) == [("Marit", "marit-phone"), ("Wiebe", "wiebe-phone")]
