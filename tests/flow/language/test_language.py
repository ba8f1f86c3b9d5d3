"""How things are said: sentences that remember what they were put together from, said in any language."""

import copy
import json
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from sentinel.flow.language import HABITS, PLAIN, Later, Said, Words, english, fill, joined, rendered, told
from sentinel.flow.measures.base.ordered import sentences


@dataclass(frozen=True)
class Backwards(Words):
    """A language in which every letter stands the other way round; its places stay."""

    def say(self, text: str) -> str:
        """The text from its end, its places as they were."""
        parts = text.replace("{", "|{").replace("}", "}|").split("|")
        return "".join(part if part.startswith("{") else part[::-1] for part in reversed(parts))

    def calendar(self, day: date) -> str:
        """A day as figures."""
        return day.isoformat()


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


def test_what_stands_in_a_place_is_not_filled_again() -> None:
    """A cow or an export may be called as it likes."""
    assert Said("cow {cow}", cow="{n}") == "cow {n}"
    assert told(english(), "{a} {b}", a="{b}", b="x") == "{b} x"
    assert fill("{gone}", {}, "nicht bekannt") == "nicht bekannt"


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


def test_figures_are_written_as_their_place_does() -> None:
    """In English notices as any program reads it; on the page and in German with thousands marked, and a real minus."""
    figures = [(1234.5, 1), (-1.25, 2), (-0.001, 2), (6.50, 2), (12_000, 0)]
    told = {
        "plain": [PLAIN["."].figure(*one) for one in figures],
        "plain, comma": [PLAIN[","].figure(*one) for one in figures],
        "English": [HABITS["en", "."].figure(*one) for one in figures],
        "German": [HABITS["de", ","].figure(*one) for one in figures],
        "Swiss": [HABITS["de", "."].figure(*one) for one in figures],
    }

    assert told == {
        "plain": ["1234.5", "-1.25", "0", "6.5", "12000"],
        "plain, comma": ["1234,5", "-1,25", "0", "6,5", "12000"],
        "English": ["1,234.5", "−1.25", "0", "6.5", "12,000"],
        "German": ["1.234,5", "−1,25", "0", "6,5", "12.000"],
        "Swiss": ["1’234.5", "−1.25", "0", "6.5", "12’000"],
    }
    assert HABITS["de", ","].figure(6, 2, least=2) == "6,00"
    assert (PLAIN["."].figure(14.075, 2), HABITS["en", "."].figure(14.075, 2)) == ("14.07", "14.08")


def test_a_day_is_short_in_every_month() -> None:
    """English as notices have it has three letters for each month; German has its own, and its full stop."""
    days = [date(2026, month, 1) for month in range(1, 13)]

    assert [PLAIN["."].calendar(day).split()[1] for day in days] == [day.strftime("%b") for day in days]
    assert HABITS["de", ","].calendar(date(2026, 3, 9)) == "9. März 2026"
    assert HABITS["en", "."].calendar(date(2026, 9, 9)) == "9 Sept 2026"
