"""When each chore was done last, by whom, and by when it is due by the farm's rules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import Columns
from sentinel.flow.evaluation.rule_bounds import bounds_at, picks
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.boxes.upkeep import HOURS_SINCE_CHORE, HOURS_SINCE_FILTER
from sentinel.flow.model import HOUR_S, Chore
from sentinel.flow.rules import Rule
from sentinel.flow.tables import CHORES, ChoreFacts, Tables, frame_types

CHORE_MEASURE, FILTER_MEASURE = HOURS_SINCE_CHORE.name, HOURS_SINCE_FILTER.name
FILTER = "filter"
"""The chore that the measure of filters counts from, besides the box's own log."""


@dataclass(frozen=True, slots=True)
class Kept:
    """One chore at one place: the moments at which it was done, oldest first, and within how long it is due again.

    `bound_s` is the strictest rule's (None: no rule asks for it); `rules` and `subjects` are those whose alerts tell
    of it. Before anything is known of a chore its time counts from when sentinel began to watch, which is in `done`.
    """

    chore: ChoreFacts
    done: tuple[int, ...]
    bound_s: int | None
    alerts_of: tuple[tuple[str, str], ...]

    def last(self, at: int) -> int | None:
        """When it was last done at or before a moment."""
        return max((moment for moment in self.done if moment <= at), default=None)

    def due_at(self, at: int) -> int | None:
        """By when it is due, as seen at a moment; None if no rule asks for it."""
        last = self.last(at)
        return None if last is None or self.bound_s is None else last + self.bound_s


def kept(tables: Tables, rules: Mapping[str, Rule]) -> tuple[Kept, ...]:
    """Every chore of the farm, in farm.yaml's order."""
    resets = {
        name: measure_named(name).compute(tables, per, {}).frame
        for name, per in ((CHORE_MEASURE, "chore"), (FILTER_MEASURE, "box"))
    }
    return tuple(_kept(chore, tables, rules, resets) for chore in tables.farm.chores)


def _kept(chore: ChoreFacts, tables: Tables, rules: Mapping[str, Rule], resets: Mapping[str, object]) -> Kept:
    """One chore, with the rules that ask for it."""
    done: set[int] = set()
    bounds, alerts_of = [], []
    asked = {CHORE_MEASURE: chore.subject}
    if chore.name == FILTER and chore.place in tables.farm.boxes:
        asked[FILTER_MEASURE] = f"box:{chore.place}"
    for measure, subject in asked.items():
        frame = resets[measure]
        rows = (frame["subject"] == subject).to_numpy(bool)  # type: ignore[index]
        done |= {int(moment) for moment in frame["at"].to_numpy(np.int64)[rows]}  # type: ignore[index]
        for rule in rules.values():
            if rule.measure != measure:
                continue
            columns = _columns(chore, measure)
            if picks(rule.where, columns, 1, if_missing=True)[0]:
                bounds.append(round(HOUR_S * float(bounds_at(rule, columns, 1).raise_past[0])))
                alerts_of.append((rule.name, subject))
    return Kept(chore, tuple(sorted(done)), min(bounds, default=None), tuple(alerts_of))


def _columns(chore: ChoreFacts, measure: str) -> Columns:
    """What a rule's `where` and classes may ask of a chore, or of its box."""
    asked = {"chore": chore.name, "place": chore.place, "planned": chore.by_plan}
    if measure != CHORE_MEASURE:
        asked = {"box": chore.place}
    return {name: np.array([value], dtype=object) for name, value in asked.items()}


@dataclass(frozen=True, slots=True)
class Record:
    """What a person recorded of a chore: who, their note, and the place that they named (empty: none)."""

    person: str
    note: str
    place: str


def record_of(chore: ChoreFacts, at: int, tables: Tables) -> Record | None:
    """What a person recorded of a chore as done at a moment; None if it was the box's own log."""
    records = tables.chores
    records_of_chore = records[
        (records["chore"] == chore.name).to_numpy(bool) & (records["at"].to_numpy(np.int64) == at)
    ]
    for person, note, place in zip(
        records_of_chore["person"], records_of_chore["note"], records_of_chore["place"], strict=True
    ):
        if (place or "") in (chore.place, "") or not chore.place:
            return Record(str(person), str(note or ""), str(place or ""))
    return None


def with_word(chores: pd.DataFrame, words: Iterable[Chore]) -> pd.DataFrame:
    """The records of chores with what people have said since, which no tick has taken yet: done, and not done."""
    frame, more = chores, list(words)
    for word in more:
        place = frame["place"].fillna("") if len(frame) else frame["place"]
        same = (frame["chore"] == word.chore) & (place == word.place)
        if word.undoes is not None:
            frame = frame[~(same & (frame["at"] == word.undoes)).to_numpy(bool)]
        elif not (same & (frame["at"] == word.at) & (frame["person"] == word.person)).to_numpy(bool).any():
            row = {"chore": word.chore, "place": word.place, "at": word.at, "person": word.person, "note": word.note}
            one = pd.DataFrame([row], columns=list(frame.columns)).astype(frame_types(CHORES))
            frame = one if frame.empty else pd.concat([frame, one], ignore_index=True)
    return frame.sort_values(["at", "chore", "place"], kind="stable", ignore_index=True) if more else chores
