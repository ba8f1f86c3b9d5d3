"""The files of a folder by kind, and what they show of the farm."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.kinds import SAMPLES, boxes_seen, kinds, upkeep_seen
from sentinel.flow.model import Export


def export(name: str, text: str) -> Export:
    """A file."""
    return Export(name, text.encode(), 0)


VISITS = "Cow;Start;Box;Milk kg\n" + "".join(
    f"{7 + n * 5 % 23};04.05.2026 {n // 6:02d}:{n * 10 % 60:02d};{n % 2 + 1};9,5\n" for n in range(60)
)
LOG = "Box;When;Event\n" + "".join(
    f"{n % 2 + 1};0{n // 2 + 1}.05.2026 {clock};{word}\n"
    for n in range(10)
    for clock, word in (("06:40", "filter changed"), ("17:05", "lens wiped"), ("03:00", "washed"))
)


def test_files_with_the_same_titles_are_a_kind() -> None:
    """Whatever they are called; some of them, spread over all, are the samples."""
    many = [export(f"v_{n:03d}.csv", VISITS) for n in range(100)]
    found = kinds([*many, export("log_1.csv", LOG), export("odd.csv", "")])

    assert [len(one.names) for one in found] == [100, 1, 1]
    assert SAMPLES <= len(found[0].samples) <= 2 * SAMPLES
    assert found[0].samples[-1].name > "v_080"
    assert found[2].trouble == "the file is empty"


def test_lines_of_json_with_other_keys_are_one_kind_by_their_name() -> None:
    """A laboratory's result comes with keys that other lines do not have."""
    found = kinds(
        [
            export("tank_1.jsonl", '{"tank": "1", "at": "2026-05-04"}\n'),
            export("tank_2.jsonl", '{"tank": "1", "cells": 9}\n'),
        ]
    )

    assert [one.names for one in found] == [("tank_1.jsonl", "tank_2.jsonl")]
    assert drafted(found[0].samples, "UTC").guesses is not None


def test_boxes_chores_and_rounds_are_seen() -> None:
    """What is done by hand crowds about the rounds; a wash is the box's own doing, by night."""
    guesses = [drafted([export(name, text)], "UTC").guesses for name, text in (("v.csv", VISITS), ("l.csv", LOG))]
    seen = upkeep_seen([one for one in guesses if one])

    assert boxes_seen([one for one in guesses if one]) == ["1", "2"]
    assert seen.events == ("filter_changed", "washed", "optics_cleaned")
    assert seen.rounds == ("06:30", "17:00")


def test_without_a_log_there_is_nothing_to_propose() -> None:
    """And nothing is made up."""
    guesses = drafted([export("v.csv", VISITS)], "UTC").guesses

    assert upkeep_seen([guesses] if guesses else []).rounds == ()
