"""The two shapes a measure can have, and what each declares about itself.

A **sampled** measure gives a value at each reading (conductivity rise of a quarter at each milking). An
**elapsed** measure gives resets per subject, and its value is the time, or the number of counted events,
since the last one. Neither knows a threshold or the time of day.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

Options = Mapping[str, float]
"""A rule's own settings of a measure, in the option's unit (durations in seconds)."""


@dataclass(frozen=True, slots=True)
class Option:
    """A setting that a rule may give to a measure, such as the window of a count (`within: 6 h`).

    `unit` is one of the unit words of `sentinel.flow.rules.quantities`; durations are handed over in seconds.
    """

    name: str
    unit: str
    default: float
    doc: str


@dataclass(frozen=True, slots=True)
class Readings:
    """A sampled measure's result.

    `frame` columns: `subject` (str), `at` (int64 UTC seconds), `value` (float64 in the measure's unit; NaN means
    it cannot be told), `why` (str, the reason where the value is NaN, else ""), then any number of further
    columns whose values fill a rule's sentence (`{failed}`, `{visits}`), or, named with `_` before it, that only the
    measure itself needs (`as_usual_was`). Sorted by subject, then `at`.
    """

    frame: pd.DataFrame


@dataclass(frozen=True, slots=True)
class Resets:
    """An elapsed measure's result.

    `frame` columns: `subject` (str), `at` (int64 UTC seconds): the moments at which the value returns to zero,
    sorted by subject, then `at`; further columns fill a rule's sentence. With a column `sure` (bool) some rows only
    *may* return the value to zero: after one the value is unknown, but for being at least that since it. With a column
    `_bound_least` (in the measure's unit) no bound past which a rule raises is less than that from the row on. `events`
    is None when time is the value; otherwise the same two columns for the events that are counted (the value at t is
    how many of the subject's events happened in (last reset, t]).
    """

    frame: pd.DataFrame
    events: pd.DataFrame | None = None


Chart = Literal["quarter", "failures", "teats", "late", "tank-cells", "tank-bacteria", "tank-temperature"]
"""The charts that can show an alert of a measure; of a cow's or a quarter's her milkings are shown besides."""

NO_CHART: tuple[Chart, ...] = ()
"""For a measure that no chart shows: said on purpose."""

SAID_ELSEWHERE = ""
"""The label of a fact that is not listed, as the sentence, the suspects or the title say it already."""


@dataclass(frozen=True, slots=True)
class FactColumn:
    """A further column of a measure's frame: it fills a rule's sentence and is listed behind an alert.

    `label` is what it is called there, in plain words, and in the catalogues; `unit` its unit, with `own_unit` that of
    the rule's measure. A name that ends in `_at` is a moment. `marks`: from which values on it is a slight, a clear, a
    strong sign, if it is one. `odds`: a chance, which is said as once in so many times.
    """

    name: str
    label: str
    unit: str = ""
    own_unit: bool = False
    marks: tuple[float, float, float] | None = None
    odds: bool = False


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure: what it is called, per what, in which unit, and the function that computes it.

    `per`: the kinds of subject it can be computed for; a rule on a measure with several names one.
    `unit`: the unit of its value: `h`, `min`, `%`, `ratio`, `mS/cm`, or a counted word (`failures`, `milkings`).
    `check`: what outside the code it is checked against, and the tests (`tests/flow/measures/`) that do it.
    `needs`: exported tables, or as `table.column` single columns of them, that bound what can be decided (past the
    known-until of the feeds that fill them the answer is unknown); `uses`: tables that are read but do not bound it.
    An empty `needs` is decided up to the present moment.
    `lookback_s`: how far before a moment t the rows reach that decide the value at it: rows at or before
    t - lookback_s change nothing. The herd list is the exception: the latest row of a cow counts however old it
    is. A reset at or before t - lookback_s is as one that was never known.
    `counts_for_s`: a reset counts for so long, where that is less than `lookback_s` as its own rows reach back too.
    `herd_wide`: a cow's value rests on other cows' rows too, so it is never computed from those of some cows only.
    `asks_cows`: of a herd-wide measure, it gives readings of `tables.farm.asked_cows` only, where that is set.
    `of_no_visit`: its value rests on somebody's not having come, so a visit that may be under way bounds it too.
    `of_all_visits`: its value is wrong while visits of some box are missing, so the box that is known least bounds it.
    `of_each_box`: what it says of a box rests on no later visit there, so that box's own known-until bounds it.
    `about_arrival`: it tells how data came and notices went, which means nothing where all is taken to be on time.
    `compute(tables, per, options)` is pure and vectorised.
    `usual`: the column of its frame with what is usual, where that is told from the subject's own past, and
    `as_usual_was(rows, usual)` gives some rows as they would be if that were usual: while an alert stands, what is
    usual is what was when it began.
    `charts` are those that show an alert of it (`NO_CHART`: none), `facts` the further columns of its frame, in the
    order in which they are best read. `compared` names two of these that say how bad it is: the figure, and what is
    usual for it. `reset`: what an elapsed measure's reset is called where its moment is shown (`last milked`).
    """

    name: str
    unit: str
    per: tuple[str, ...]
    doc: str
    source: str
    check: str
    compute: Callable[[Tables, str, Options], Readings | Resets]
    charts: tuple[Chart, ...]
    needs: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    options: tuple[Option, ...] = ()
    lookback_s: int = 30 * DAY_S
    counts_for_s: int | None = None
    facts: tuple[FactColumn, ...] = ()
    herd_wide: bool = False
    asks_cows: bool = False
    of_no_visit: bool = False
    of_all_visits: bool = False
    of_each_box: bool = False
    about_arrival: bool = False
    compared: tuple[str, str] | None = None
    reset: str = ""
    usual: str = ""
    as_usual_was: Callable[[pd.DataFrame, np.ndarray], pd.DataFrame] | None = None

    @property
    def fact_names(self) -> tuple[str, ...]:
        """What the further columns of its frame are called."""
        return tuple(fact.name for fact in self.facts)

    @property
    def reset_for_s(self) -> int:
        """How long a reset counts."""
        return self.lookback_s if self.counts_for_s is None else self.counts_for_s

    def settings(self, given: Options) -> dict[str, float]:
        """The options with the rule's own values over the defaults."""
        return {o.name: given.get(o.name, o.default) for o in self.options}


def no_readings(*facts: str) -> Readings:
    """Readings without a row, with the further columns named."""
    none = pd.Series([], dtype="str")
    return Readings(readings_frame(none, np.empty(0, np.int64), np.empty(0), none, **{f: [] for f in facts}))


def readings_frame(subject: Any, at: Any, value: Any, why: Any = "", **facts: Any) -> pd.DataFrame:
    """A frame of readings, sorted by subject, then time."""
    frame = pd.DataFrame({"subject": subject, "at": at, "value": value, **facts})
    frame.insert(3, "why", why)
    return frame.sort_values(["subject", "at"], kind="stable", ignore_index=True)
