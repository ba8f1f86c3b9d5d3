"""Words and codes are told by what is measured in their rows, whatever they are called."""

from __future__ import annotations

import numpy as np

from sentinel.flow.feeds.drafting.guessing.word_columns import word_columns
from sentinel.flow.feeds.drafting.sample.profile import Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample

CHANCE = np.random.default_rng(3)
ROWS = 90
ENDED = [("10", "20", "30")[n % 9 // 7 + (n % 9 == 8)] for n in range(ROWS)]
"""Seven visits of nine are milked, one is cut short, at one nothing was attached."""


def found(**columns: list[str]) -> set[tuple[str, str, str]]:
    """Table, field and title of what is found."""
    sample = Sample("delimited", tuple(columns), tuple(tuple(cells) for cells in columns.values()))
    profiles = [profiled(Source(title, tuple(cells)), sample) for title, cells in columns.items()]
    return {(one.table, one.field, one.title) for one in word_columns(profiles)}


def test_how_a_visit_ended_decides_what_was_measured() -> None:
    """The box and a row of chance codes decide nothing."""
    kg = [f"{v:.1f}" if how != "30" else "" for v, how in zip(CHANCE.uniform(5, 15, ROWS), ENDED, strict=True)]
    boxes, codes = ([str(v) for v in CHANCE.integers(1, 4, ROWS)] for _ in range(2))

    assert found(how=ENDED, kg=kg, box=boxes, code=codes) == {("visits", "outcome", "how")}


def test_tries_that_decide_as_much_are_figures_of_more_values() -> None:
    """Where nothing was attached the box tried five or six times."""
    kg = [f"{v:.1f}" if how != "30" else "" for v, how in zip(CHANCE.uniform(5, 15, ROWS), ENDED, strict=True)]
    tries = [str(1 + n % 3 if how != "30" else 5 + n % 2) for n, how in enumerate(ENDED)]

    assert found(how=ENDED, kg=kg, n=tries) == {("visits", "outcome", "how")}


def test_a_stage_decides_whether_a_cow_may_be_milked() -> None:
    """Those that are dry may be 0 times a day; a breed says nothing of it."""
    stages = ["A" if n % 6 else "B" for n in range(ROWS)]
    allowed = [str(2 + n % 3) if stage == "A" else "0" for n, stage in enumerate(stages)]
    breeds = [str(v) for v in CHANCE.choice(["HF", "JE"], ROWS)]

    assert found(s=stages, b=breeds, n=allowed) == {("cows", "status", "s")}


def test_where_every_cell_is_there_words_decide_nothing() -> None:
    """A column of words alone is no end of a visit."""
    assert found(how=ENDED, kg=[f"{v:.1f}" for v in CHANCE.uniform(5, 15, ROWS)]) == set()
