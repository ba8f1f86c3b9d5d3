"""The cows over a bound at one milk recording, as one list: who is new, who is high again, who weighs most."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.language import Later, Said, joined
from sentinel.flow.measures.base.facts import COWS, LISTED, LOW, TANK_K_ML
from sentinel.flow.measures.base.ordered import sentences, texts
from sentinel.flow.measures.base.shape import (
    NO_CHART,
    SAID_ELSEWHERE,
    FactColumn,
    Measure,
    Option,
    Options,
    Readings,
)
from sentinel.flow.measures.cells.cow_cells import PERSISTENT_AFTER, STATES, linear_score, states_of
from sentinel.flow.measures.cells.milk_recordings import LOOKBACK_S, MilkRecording, milk_recordings
from sentinel.flow.measures.cells.recording import (
    FINE,
    LIMIT,
    MOST,
    NO_COUNTS,
    PAST_S,
    TAKES,
    CowTests,
    cow_tests,
    fine,
    running,
)
from sentinel.flow.model import name_of
from sentinel.flow.ordering import natural_key
from sentinel.flow.tables import Tables

PERSISTENT, STILL, FIRST, AGAIN, NEW = range(2, 7)
"""Places in `STATES`."""

GROUPS: tuple[tuple[str, tuple[int, ...], Callable[[int], Said]], ...] = (
    ("new", (NEW,), lambda n: Said("{n} new", n=n)),
    ("first", (FIRST,), lambda n: Said("{n} at the first test known", n=n)),
    ("again", (AGAIN,), lambda n: Said("{n} high again", n=n)),
    ("still", (PERSISTENT, STILL), lambda n: Said("{n} still high", n=n)),
)
"""How the cows over the bound are told apart, in the order in which they are listed."""

HEAVIEST = 3
"""So many cows that bring most of the tank's cells are listed though they are not over the bound (our choice)."""

NONE = MilkRecording("", 0, 0, 0, goes_on=False)
"""No recording: no test is taken into it."""

FAR = np.iinfo(np.int64).max

OVER_LIMIT = FactColumn("limit_k_ml", "a count over this is high", "k/ml")
UNCOUNTED = FactColumn("uncounted", "cows without a count", "cows")


@dataclass(frozen=True)
class Recorded:
    """The tests that one recording takes in, by cow, then time, and from when until before when each is its cow's.

    `part` and `kg` are whole numbers of a millionth of cells x kg and of kg, 0 where one of both is not known.
    """

    recording: MilkRecording
    cow: np.ndarray
    at: np.ndarray
    ends: np.ndarray
    cells: np.ndarray
    milk_kg: np.ndarray
    part: np.ndarray
    kg: np.ndarray
    state: np.ndarray
    previous: np.ndarray


def recording_high_cows(tables: Tables, per: str, options: Options) -> Readings:
    """Cows with more somatic cells than the limit at a milk recording, at each of its tests, per recording, as cows.

    Tests begin a recording where nobody was tested for `recording_takes` before, and are one as soon as `least_share`
    of the cows tested in the last 60 days are among them; fewer belong to the recording before. Each cow counts with
    her latest test in it that has a count. `states` says how many are `new`, high `again` or `still` high, by
    `cow_cells_k_ml`; `most_cow` brings most of the cells of all cows in it, `most_share_pct` = 100 x cells x kg / sum.
    `listed` are the cows over the limit, and the three that bring most.
    With the first count of a recording those before it have no cow to look at any more. Where tests go on for more than
    ten days a box counts cells at each milking: they are no recording any more.
    """
    tests = cow_tests(tables)
    recordings = milk_recordings(tests, int(options["recording_takes"]), options["least_share"], tables.farm.zone)
    state, previous, _ = states_of(tests, options["limit"], options["persistent_after"])
    parts = [_readings(_recorded(tests, NONE, state, previous), options["limit"])]
    for place, recording in enumerate(recordings):
        own = _readings(_recorded(tests, recording, state, previous), options["limit"])
        counted = own["at"].to_numpy(np.int64)[own["cows"].to_numpy(float) > 0]
        before = [one for one in recordings[:place] if len(counted) and one.begins > counted[0] - PAST_S]
        parts += [own, _ended(own, before, counted[:1])]
        parts += [_ended(own, [recording], np.array([recording.until]))] if recording.goes_on else []
    columns = ["subject", "at", "value", "why", *(fact.name for fact in FACTS)]
    frame = pd.concat([one for one in parts if len(one)] or parts, ignore_index=True)[columns]
    return Readings(frame.sort_values(["subject", "at"], kind="stable", ignore_index=True))


def _recorded(tests: CowTests, recording: MilkRecording, state: np.ndarray, previous: np.ndarray) -> Recorded:
    """The tests that a recording takes in. One without a count gives way to the next, and to a count before it."""
    rows = tests.rows
    inside = np.flatnonzero((rows.at >= recording.begins) & (rows.at < recording.until))
    code, at, cells, milk = rows.code[inside], rows.at[inside], tests.cells[inside], tests.milk_kg[inside]
    counted = ~np.isnan(cells)
    ends = _following(code, at)
    ends[counted] = _following(code[counted], at[counted])
    counts = np.cumsum(counted)
    begins = np.maximum.accumulate(np.where(np.append(True, code[1:] != code[:-1]), np.arange(len(code)), 0))
    has_one = counts - (counts - counted)[begins] > 0
    ends[~counted & has_one] = at[~counted & has_one]
    both = cells * milk <= MOST
    part, kg = (fine(np.where(both, amount, 0.0), FINE) for amount in (cells * milk, milk))
    cow = rows.subject[inside]
    return Recorded(recording, cow, at, ends, cells, milk, part, kg, state[inside], previous[inside])


def _following(code: np.ndarray, at: np.ndarray) -> np.ndarray:
    """When the same cow was tested next; FAR if she was not."""
    following = np.full(len(at), FAR)
    if len(at):
        following[:-1] = np.where(code[1:] == code[:-1], at[1:], FAR)
    return following


def _readings(tests: Recorded, limit: float) -> pd.DataFrame:
    """The readings of one recording, at each moment with a test from which on it is one."""
    moments, first = np.unique(tests.at, return_index=True)
    later = moments >= tests.recording.counts_from
    moments, first = moments[later], first[later]

    def at_each(amount: np.ndarray) -> np.ndarray:
        return running(tests.at, tests.ends, amount)[first]

    counted = ~np.isnan(tests.cells)
    cows, uncounted = at_each(counted), at_each(~counted)
    groups = [at_each(np.isin(tests.state, places)) for _, places, _ in GROUPS]
    part, kg = at_each(tests.part), at_each(tests.kg)
    together = np.full(len(moments), np.nan)
    np.divide(part, kg, out=together, where=kg > 0)
    lists = [_Lists(tests, int(moment), int(total)) for moment, total in zip(moments, part, strict=True)]
    told = zip(*groups, strict=True)
    return pd.DataFrame(
        {
            "subject": texts(np.full(len(moments), f"recording:{tests.recording.day}", dtype=object)),
            "at": moments,
            "value": np.where(cows > 0, np.sum(groups, axis=0), np.nan),
            "why": texts(np.where(cows > 0, "", NO_COUNTS).astype(object)),
            COWS.name: cows.astype(float),
            UNCOUNTED.name: np.where(uncounted > 0, uncounted, np.nan),
            OVER_LIMIT.name: np.full(len(moments), limit),
            "states": sentences(_objects([_states(one) for one in told])),
            "most_cow": sentences(_objects([Later(one.most_cow) for one in lists])),
            "most_share_pct": sentences(_objects([Later(one.most_share_pct) for one in lists])),
            TANK_K_ML.name: together,
            LISTED.name: sentences(_objects([Later(one.listed) for one in lists])),
        }
    )


def _states(numbers: tuple[int, ...]) -> Said | None:
    """How many cows are new, high again ...; None where there is none."""
    some = [say(int(n)) for (_, _, say), n in zip(GROUPS, numbers, strict=True) if n]
    return joined(", ", some) if some else None


def _ended(own: pd.DataFrame, some: Sequence[MilkRecording], at: np.ndarray) -> pd.DataFrame:
    """Readings that end some recordings, all at one moment, in the columns of another's readings."""
    past = [f"recording:{one.day}" for one in some]
    frame = pd.DataFrame({"subject": texts(np.array(past, object)), "at": np.repeat(at, len(past)), "value": 0.0})
    frame["why"] = texts(np.full(len(past), "", object))
    for name in own.columns[4:]:
        nothing = _objects([None] * len(past)) if own[name].dtype == object else np.full(len(past), np.nan)
        frame[name] = sentences(nothing) if own[name].dtype == object else nothing
    return frame


def _objects(values: list[Any]) -> np.ndarray:
    column = np.empty(len(values), dtype=object)
    column[:] = values
    return column


@dataclass(frozen=True)
class _Lists:
    """What is listed of a recording as it was at a moment; `total` is the sum of its parts. Nobody asks for most."""

    tests: Recorded
    moment: int
    total: int

    def most_cow(self) -> str | None:
        """The cow that brings most of the cells; None where that cannot be told."""
        heaviest = self._heaviest()
        return name_of(self.tests.cow[heaviest[0]]) if len(heaviest) else None

    def most_share_pct(self) -> float | None:
        """Her share of them in %."""
        heaviest = self._heaviest()
        return self._share_pct(int(heaviest[0])) if len(heaviest) else None

    def listed(self) -> list[dict[str, Any]]:
        """The cows over the limit by group, in each the one with the most cells first; then others that bring most."""
        return list(self._listed())

    def _listed(self) -> Iterator[dict[str, Any]]:
        tests, here = self.tests, self._here()
        named: set[int] = set()
        for word, places, _ in GROUPS:
            group = here[np.isin(tests.state[here], places)]
            for row in sorted(group.tolist(), key=lambda n: (-tests.cells[n], natural_key(str(tests.cow[n])))):
                named.add(row)
                yield self._row(row, word)
        for row in self._heaviest()[:HEAVIEST].tolist():
            if row not in named:
                yield self._row(row, LOW)

    def _here(self) -> np.ndarray:
        """The rows with a count that are their cows' latest at the moment."""
        tests = self.tests
        return np.flatnonzero((tests.at <= self.moment) & (tests.ends > self.moment) & ~np.isnan(tests.cells))

    def _heaviest(self) -> np.ndarray:
        """The rows whose part of the cells is known, the one with the most first."""
        here = self._here()
        here = here[self.tests.part[here] > 0] if self.total > 0 else here[:0]
        return here[np.argsort(-self.tests.part[here], kind="stable")]

    def _share_pct(self, row: int) -> float | None:
        part = int(self.tests.part[row])
        return round(100.0 * part / self.total, 1) if part and self.total else None

    def _row(self, row: int, state: str) -> dict[str, Any]:
        """One cow of the list with her figures, and all of it as a sentence."""
        tests = self.tests
        cow, cells = name_of(tests.cow[row]), float(tests.cells[row])
        previous, kg = (None if np.isnan(one[row]) else float(one[row]) for one in (tests.previous, tests.milk_kg))
        places = {"cow": cow, "cells": _figure(cells), "state": STATES[tests.state[row]]}
        said = Said("Cow {cow}: {cells} k/ml ({state})", **places)
        if previous is not None:
            places["previous"] = _figure(previous)
            said = Said("Cow {cow}: {cells} k/ml ({state}; {previous} at the test before)", **places)
        return {
            "cow": cow,
            "state": state,
            "cells_k_ml": cells,
            "previous": previous,
            "score": round(float(linear_score(np.array([cells]))[0]), 1),
            "milk_kg": kg,
            "share_pct": self._share_pct(row),
            "tested_at": int(tests.at[row]),
            "said": said,
        }


def _figure(cells: float) -> str:
    """A count as text, with a decimal where it has one."""
    return f"{cells:.0f}" if cells == round(cells) else f"{cells:.1f}"


LEAST_SHARE = Option(
    "least_share", "%", 30.0, "fewer of the cows tested in the last 60 days are no recording, but belong to the last"
)
FACTS = (
    COWS,
    UNCOUNTED,
    OVER_LIMIT,
    FactColumn("states", SAID_ELSEWHERE),
    FactColumn("most_cow", SAID_ELSEWHERE),
    FactColumn("most_share_pct", SAID_ELSEWHERE),
    TANK_K_ML,
    LISTED,
)

RECORDING_HIGH_COWS = Measure(
    name="recording_high_cows",
    unit="cows",
    per=("recording",),
    doc="cows with more somatic cells than the limit at one milk recording, with who is new, who is high again and who "
    "brings most of the tank's cells",
    source="share = 100 × cells × kg / sum of cells × kg: definition",
    check="each cow as cow_cells_k_ml has her: test_recording_high_cows",
    compute=recording_high_cows,
    charts=NO_CHART,
    needs=("cow_tests",),
    options=(LIMIT, PERSISTENT_AFTER, TAKES, LEAST_SHARE),
    lookback_s=LOOKBACK_S,
    facts=FACTS,
    herd_wide=True,
)

MEASURES = (RECORDING_HIGH_COWS,)
