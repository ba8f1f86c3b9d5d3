"""Sentences that remember what they were put together from, said in any language."""

from __future__ import annotations

import copy
import json
from datetime import date

import numpy as np
import pandas as pd
from flow.language.backwards import Backwards

from sentinel.flow.language import Later, Said, english, joined, rendered
from sentinel.flow.measures.base.ordered import sentences


def test_a_sentence_is_its_english_and_knows_its_places() -> None:
    """A measure hands it on as text; only who tells a person says it again."""
    said = Said("cow {cow} failed {n} times", cow="217", n=3)

    assert said == "cow 217 failed 3 times"
    assert isinstance(said, str)
    assert rendered(said, Backwards()) == "semit 3 deliaf 217 woc"
    assert rendered(said, english()) == said
    assert type(rendered(said, english())) is str


def test_a_sentence_may_hold_others_and_days() -> None:
    """Each is said in the language by itself, however deep."""
    inner = Said("the arm")
    both = joined("; ", [Said("{a} or {b}", a=inner, b="optics"), Said("on {day}", day=date(2026, 5, 12))])

    assert both == "the arm or optics; on 12 May 2026"
    assert rendered(both, Backwards()) == "2026-05-12 no ;optics ro mra eht"


def test_facts_are_said_with_all_that_is_in_them_and_become_plain() -> None:
    """As they are then kept as JSON; what is no sentence of ours stays."""
    facts = {"suspects": [{"name": "arm", "said": Said("the arm")}], "box": "2", "n": 3.0, "none": None}

    assert rendered(facts, Backwards()) == {
        "suspects": [{"name": "arm", "said": "mra eht"}], "box": "2", "n": 3.0, "none": None,
    }  # fmt: skip
    assert json.loads(json.dumps(facts)) == facts


def test_sentences_outlive_a_frame() -> None:
    """Sorted, chosen from and joined, a column of them still knows what they were put together from."""
    values = np.empty(3, dtype=object)
    values[:] = [Said("a {x}", x="1"), Said("b"), ""]
    frame = pd.DataFrame({"said": sentences(values), "at": [3, 2, 1]})
    frame = pd.concat([frame, frame]).sort_values("at", kind="stable", ignore_index=True)

    records = frame.iloc[[5, 2]].to_dict("records")
    assert [rendered(one["said"], Backwards()) for one in records] == ["1 a", "b"]
    assert copy.deepcopy(Said("b")) == "b"


def test_what_nobody_asks_for_is_never_put_together() -> None:
    """It is put together once, at the first asking, and equals what it turns out to be."""
    made: list[str] = []

    def make() -> Said:
        made.append("once")
        return Said("cow {cow} failed", cow="217")

    cells = pd.Series([Later(make), Later(make)], dtype=object)
    assert made == []

    assert cells[0] == "cow 217 failed" and cells[0] == cells[0].now()
    assert cells[0] != "cow 218 failed"
    assert made == ["once"]
    assert str(cells[1]) == "cow 217 failed" and cells[0] == cells[1]
    assert made == ["once", "once"]
