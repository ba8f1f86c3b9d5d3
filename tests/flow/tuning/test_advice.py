"""Whether the answers there are say that another bound is better, and that noise says nothing."""

from __future__ import annotations

import random

from sentinel.flow.replay import Raised
from sentinel.flow.rules import Rule
from sentinel.flow.tuning.advice import MAY_BE_REAL, advice, dropped, raises_more
from sentinel.flow.tuning.episodes import Episode, Label
from sentinel.flow.tuning.share import answers_wanted
from sentinel.flow.tuning.sweep import Tried

RULE = Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", raise_over=14)
HOUR_S = 3600


def bound(value: int, known: list[tuple[int, Label]], more: int = 0) -> Tried:
    """A bound that raises each episode whose worst value is beyond it, and `more` that nobody ever saw."""
    every = [(Episode("cow:7", n * HOUR_S, n * HOUR_S + 60, label), worst) for n, (worst, label) in enumerate(known)]
    kept = tuple(one for one, worst in every if worst > value)
    raised = [Raised("late-cow", one.subject, one.raised_at, one.over_at, "round", None) for one in kept]
    raised += [Raised("late-cow", "cow:9", n * HOUR_S, n * HOUR_S + 60, "round", None) for n in range(more)]
    return Tried((("raise_over", f"{value} h"),), RULE, tuple(raised), 0, kept, more, None)


def test_enough_answers_for_nothing_recommend_the_bound_that_drops_most_of_them() -> None:
    """Twenty were for nothing below 17 h, and what was found lies above."""
    known: list[tuple[int, Label]] = [(15, "nothing found")] * 16 + [(16, "nothing found")] * 4 + [(18, "real")] * 3
    now, others = bound(14, known), [bound(value, known) for value in (15, 16, 18)]
    found = advice(now, others)

    assert found.better is others[1]
    assert "raise_over 16 h would have dropped 20 of 23 alerts; all 20" in found.sentence


def test_too_few_answers_say_how_many_are_wanted() -> None:
    """One fewer than is needed, however many were not answered."""
    few = answers_wanted(MAY_BE_REAL) - 1
    known: list[tuple[int, Label]] = [(15, "nothing found")] * few + [(15, "")] * 40 + [(18, "real")]
    found = advice(bound(14, known), [bound(15, known)])

    assert found.better is None
    assert f"{few} were answered, all of them for nothing; {few + 1} are wanted" in found.sentence


def test_a_bound_that_misses_what_was_found_is_not_recommended() -> None:
    """However much it drops that was for nothing."""
    known: list[tuple[int, Label]] = [(15, "nothing found")] * 60 + [(15, "real")]
    found = advice(bound(14, known), [bound(15, known)])

    assert (found.better, "missed something that was found" in found.sentence) == (None, True)
    assert [one.label for one in dropped(bound(14, known), bound(15, known))].count("real") == 1


def test_a_bound_that_raises_more_is_not_recommended() -> None:
    """Nobody has looked at what it would tell."""
    known: list[tuple[int, Label]] = [(15, "nothing found")] * 30
    more = bound(15, known, more=2)

    assert raises_more(bound(14, known), more)
    assert advice(bound(14, known), [more]).better is None


def test_without_answers_nothing_is_recommended() -> None:
    """Only seen is no answer to whether something was found."""
    known: list[tuple[int, Label]] = [(15, "seen")] * 30
    found = advice(bound(14, known), [bound(15, known)])

    assert (found.better, "Nobody has said" in found.sentence) == (None, True)


def test_noise_is_seldom_taken_for_a_reason() -> None:
    """Answers that have nothing to do with the value, one in four of them real: of 300 farms hardly one is advised."""
    advised = 0
    for seed in range(300):
        draw = random.Random(seed)
        known: list[tuple[int, Label]] = [
            (draw.randint(15, 24), "real" if draw.random() < 0.25 else "nothing found") for _ in range(80)
        ]
        advised += advice(bound(14, known), [bound(value, known) for value in range(15, 24)]).better is not None

    assert advised <= 6
