"""How long chores take on this farm: learned from how far apart they were ticked on earlier rounds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby, pairwise
from statistics import median

import numpy as np

from sentinel.flow.model import DAY_S
from sentinel.flow.tables import ChoreFacts, Tables

TOGETHER_S = 20
"""What one person ticks within so many seconds was done before the first of these taps (our choice, no source)."""

BREAK_S = 30 * 60
"""Who has ticked nothing for longer did something else meanwhile, or took a break (our choice, no source)."""

LEARNED_OVER_S = 28 * DAY_S
ENOUGH = 5
"""So many times a chore must have been timed before its time is told (our choice, no source)."""


def chore_times_s(tables: Tables, before: int) -> Mapping[str, float]:
    """Per chore the seconds that one takes, as the median of at least `ENOUGH` in the four weeks before a moment.

    What one person ticked one after the other is timed: from a tap to the next, shared by all that the next stood for.
    A tap after a break times nothing, nor do chores that only the boxes' log records. Empty if too few are known.
    """
    records = tables.chores
    at = records["at"].to_numpy(np.int64)
    ticks = sorted(
        (str(person), int(moment), str(chore))
        for person, moment, chore in zip(records["person"], at, records["chore"], strict=True)
        if before - LEARNED_OVER_S <= moment < before
    )
    timed: dict[str, list[float]] = {}
    for _, of_person in groupby(ticks, key=lambda tick: tick[0]):
        for earlier, later in pairwise(_taps(of_person)):
            gap = later[0][1] - earlier[-1][1]
            if gap <= BREAK_S:
                for _, _, chore in later:
                    timed.setdefault(chore, []).append(gap / len(later))
    return {chore: median(seconds) for chore, seconds in timed.items() if len(seconds) >= ENOUGH}


def _taps(ticks: Iterable[tuple[str, int, str]]) -> list[list[tuple[str, int, str]]]:
    """One person's ticks in order, those in a row together that follow each other within seconds."""
    taps: list[list[tuple[str, int, str]]] = []
    for tick in ticks:
        if taps and tick[1] - taps[-1][-1][1] <= TOGETHER_S:
            taps[-1].append(tick)
        else:
            taps.append([tick])
    return taps


def takes_s(chore: ChoreFacts, times: Mapping[str, float]) -> float | None:
    """How long one chore takes, in s: as learned, else as farm.yaml says; None if neither tells."""
    return times.get(chore.name, chore.takes_s)
