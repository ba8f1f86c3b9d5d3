"""The suspects of a box in words: the cow that most looks in trouble, and all boxes together."""

from __future__ import annotations

import pytest

from sentinel.edges.locales import words_in
from sentinel.flow.language import rendered
from sentinel.flow.measures.boxes.failures.suspect_words import Worst, cow_said, herd_ranked_of


@pytest.mark.parametrize(
    ("worst", "said"),
    [
        (None, "no single cow fails repeatedly"),
        (("217", 1, 3, 0, 0), "no single cow fails repeatedly"),
        (("217", 2, 3, 0, 0), "cow 217 failed 2 of 3 times: look at her"),
        (("217", 2, 3, 1, 4), "cow 217 failed 2 of 3 times, 1 of 4 at other boxes: look at her"),
    ],
)
def test_a_cow_is_named_once_she_failed_again(worst: Worst | None, said: str) -> None:
    """With what she did at the other boxes, if she was there."""
    assert cow_said(worst) == said


@pytest.mark.parametrize(
    ("weights", "likeliest", "sentence"),
    [
        ([0.7, 0.2, 0.1], "a cow", "cow 217 failed 2 of 3 times: look at her"),
        ([0.1, 0.8, 0.1], "the whole herd", "failures at all boxes: suspect air and vacuum, heat, flies"),
        ([0.1, 0.2, 0.7], "not the arm, optics, cow or herd", "most of it at box 2: 5 of 18 failed"),
    ],
)
def test_of_all_boxes_together_the_likeliest_is_said(weights: list[float], likeliest: str, sentence: str) -> None:
    """All three are listed, the heaviest first."""
    found = herd_ranked_of(("217", 2, 3, 0, 0), "2", 5, 18, weights)

    assert (found.likeliest, found.sentence) == (likeliest, sentence)
    assert [one["weight"] for one in found.suspects] == sorted(weights, reverse=True)
    assert {one["name"] for one in found.suspects} == {"cow", "herd", "unknown"}


def test_what_is_said_of_a_suspect_can_be_said_in_another_language() -> None:
    """With the same figures in it."""
    said = rendered(cow_said(("217", 2, 3, 1, 4)), words_in("de", ",", "Europe/Berlin"))

    assert all(figure in said for figure in ("217", "2", "3", "1", "4"))
    assert "failed" not in said
