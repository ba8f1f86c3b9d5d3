"""The readings of a box at its visits, with the suspects where there is something to explain."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.language import Later, Said
from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.measures.base.ordered import sentences, texts
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.failures.failure_chance import Tries
from sentinel.flow.measures.boxes.failures.suspects import herd_suspects_of, suspects_of
from sentinel.flow.measures.boxes.peer_baseline import Seen, spread

NOTHING_TO_EXPLAIN = Said("nothing to explain")


def box_moments(tries: Tries, asked_from: int) -> tuple[Whole, Whole]:
    """Every asked moment at which a box was to attach, as (box, moment), each once, by box, then time."""
    known = tries.box >= 0
    order = np.lexsort((tries.at[known], tries.box[known]))
    box, at = tries.box[known][order], tries.at[known][order]
    last = asked_moments(box, at, asked_from)
    return box[last], at[last]


def asked_moments(group: Whole, at: Whole, asked_from: int) -> Whole:
    """The place of the last row of each group (sorted, then by time) at each asked moment; its last moment is asked."""
    if not len(at):
        return np.zeros(0, np.int64)
    ends = np.append(group[1:] != group[:-1], True)
    return np.flatnonzero(ends | (np.append(at[1:] != at[:-1], True) & (at >= asked_from)))


def distinct_cows(seen: Seen, first: Whole, end: Whole, notable: Whole) -> Numbers:
    """How many cows the visits [first, end) are of, for the notable readings; NaN for the others."""
    counts = np.full(len(first), np.nan)
    number, place = spread(first[notable], end[notable])
    was_there = np.zeros((len(notable), int(seen.cow.max(initial=0)) + 1), bool)
    was_there[number, seen.cow[place]] = True
    counts[notable] = was_there.sum(axis=1)
    return counts


def readings_of(
    case: Case, box: Whole, at: Whole, value: Numbers, why: Any, notable: Whole, start: Whole, **facts: Any
) -> Readings:
    """Readings per box with their facts and, for the notable ones, the suspects over the visits since `start`.

    `suspects` is a list of {name, weight, said} with the likeliest first, empty where there is nothing to explain;
    `suspect` is one sentence of it, `likeliest` its name; `first_at` is the moment of the window's first visit.
    """
    suspects = suspects_of(case, box[notable], start[notable], at[notable])
    subject = np.array([f"box:{name}" for name in case.who.boxes], dtype=object)[box]
    return _readings(subject, at, value, why, notable, suspects, first_at=start, **facts)


def herd_readings(
    case: Case, at: Whole, value: Numbers, why: Any, notable: Whole, start: Whole, **facts: Any
) -> Readings:
    """The same of the whole herd."""
    suspects = herd_suspects_of(case, start[notable], at[notable])
    return _readings(np.full(len(at), "herd", dtype=object), at, value, why, notable, suspects, first_at=start, **facts)


def _part(ranked: Later, name: str) -> Any:
    return getattr(ranked.now(), name)


def _readings(
    subject: Any, at: Whole, value: Numbers, why: Any, notable: Whole, suspects: Sequence[Later], **facts: Any
) -> Readings:
    ranked = np.empty(len(at), dtype=object)
    ranked.fill([])  # one list for all of them: a year has hundreds of thousands
    sentence, likeliest = np.empty(len(at), dtype=object), np.empty(len(at), dtype=object)
    sentence[:], likeliest[:] = NOTHING_TO_EXPLAIN, NOTHING_TO_EXPLAIN
    for n, one in zip(notable, suspects, strict=True):
        ranked[n], sentence[n], likeliest[n] = (
            Later(partial(_part, one, part)) for part in ("suspects", "sentence", "likeliest")
        )
    suspect_columns = {"suspect": sentences(sentence), "likeliest": sentences(likeliest), "suspects": ranked}
    why = texts(np.asarray(why, dtype=object))
    columns = {"subject": texts(subject), "at": at, "value": value, "why": why, **facts, **suspect_columns}
    return Readings(pd.DataFrame(columns, copy=False))
