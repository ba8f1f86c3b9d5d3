"""Which of four names is which quarter, in words and codes of several languages."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.lexicon.quarter_names import in_order, quarters_in_cells, quarters_of


@pytest.mark.parametrize(
    ("names", "ordered"),
    [
        (["RR", "LF", "LR", "RF"], ("LF", "RF", "LR", "RR")),
        (["FL", "FR", "RL", "RR"], ("FL", "FR", "RL", "RR")),
        (["LF", "RF", "LH", "RH"], ("LF", "RF", "LH", "RH")),
        (["HL", "HR", "VL", "VR"], ("VL", "VR", "HL", "HR")),
        (["VF", "HF", "VB", "HB"], ("VF", "HF", "VB", "HB")),
        (["ARG", "ARD", "AVG", "AVD"], ("AVG", "AVD", "ARG", "ARD")),
        (["RIGHT REAR", "Left_Front", "left rear", "RightFront"],
         ("Left_Front", "RightFront", "left rear", "RIGHT REAR")),
        (["lewa tylna", "prawa przednia", "lewa przednia", "prawa tylna"],
         ("lewa przednia", "prawa przednia", "lewa tylna", "prawa tylna")),
        (["1", "2", "3", "4"], ()),
        (["LF", "RF", "LR"], ()),
    ],
)  # fmt: skip
def test_four_names_are_put_in_order(names: list[str], ordered: tuple[str, ...]) -> None:
    """Numbers say nothing of which is which, and three names are not four."""
    assert in_order(names) == ordered


def test_names_that_languages_read_differently_are_not_told() -> None:
    """AD AI PD PI are Spanish; were one of them Italian, nobody could say."""
    assert quarters_of(["AI", "AD", "PI", "PD"])["AI"] == "LF"
    assert quarters_of(["AI", "AD", "PI", "XX"]) == {}


def test_words_of_cells_may_have_a_letter_in_common() -> None:
    """Of titles it may be a letter of the word beside them, so there it counts for nothing."""
    assert quarters_in_cells(["QLF", "QRF", "QLR", "QRR"]) == {"QLF": "LF", "QRF": "RF", "QLR": "LR", "QRR": "RR"}
    assert quarters_of(["QLF", "QRF", "QLR", "QRR"]) == {}
    assert quarters_in_cells(["101", "102", "103", "104"]) == {}
