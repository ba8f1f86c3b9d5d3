"""Is it the box or the cow? The failures of a box, or of all boxes at once, against those expected for its cows."""

from __future__ import annotations

from functools import partial

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.language import Later
from sentinel.flow.measures.base.chance import Numbers, Whole, chance_of_at_least, count_limits
from sentinel.flow.measures.base.facts import FAILED, FIRST_AT, SUSPECTS, VISITS
from sentinel.flow.measures.base.shape import FactColumn, Measure, Options, Readings
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.box_readings import asked_moments, herd_readings, readings_of
from sentinel.flow.measures.boxes.failures.failure_chance import UNIT, Tries
from sentinel.flow.measures.boxes.failures.shiryaev_roberts import SPAN_S, grown
from sentinel.flow.measures.boxes.failures.suspects import herd_share
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

NOTABLE_MONTHS = 0.5
"""From here on a reading has its exact tail and names its suspects."""

HERD_ALTERNATIVES = (2.0, 5.0, 20.0)
"""What upsets a whole herd may be milder than a box at fault, or as bad: a vacuum that fails (assumption)."""

HERD_CLEARLY = 3
"""How much better the herd explains the failures than boxes at fault by themselves counts as a cube, as one bad box
alone makes the sum over all boxes grow (chosen on simulated herds: as a square, two boxes that began to fail at once
passed for the herd)."""

MOST_MONTHS = 240.0
"""The value goes no further: twenty years are as good as never, and it must fall soon after the trouble is over."""

ONE_BOX = "with only one box, the herd cannot be told from the box"


def failures_beyond_chance(tables: Tables, per: str, options: Options) -> Readings:
    """How rarely chance alone would bring this many failures to attach, per box or herd, as once in how many months.

    Every cow has her own chance to fail (`cow_chance`): her tries of the 24 days before yesterday, shrunk to the
    herd's mean by a beta-binomial fitted on the herd; a try again within 12 h of a failure has the herd's chance of
    such tries; what is usual at the box counts up to half as much again; and while the other boxes fail more than they
    should, so should this one. From these the evidence that failures have become more frequent since some try of
    the last 12 to 24 h is summed over all such tries (`evidence`), and divided by the tries of a month. A rule that is
    raised over N months is raised by chance at most once in N months of a box's work.

    There is a reading at every visit that was not refused. The window is the one that most looks like trouble:
    `failed` of `visits` since `first_at`, `expected` from these cows, `ratio` of the two with its exact 95 % limits;
    `chance`: of so many failures or more among just these tries (Poisson-binomial tail). With no record of the farm's
    own the chances are those of a survey. The value goes no further than 240 months.

    Of the herd, the evidence is that of all boxes together, less the more boxes at fault by themselves explain what
    failed better than the herd does (`herd_share`, in the window and in 12 h): all boxes at once, not one, and not two
    of three. With one box that cannot be told and the value is missing.
    """
    case = Case.of(tables)
    asked_from = tables.farm.asked_from
    return _of_herd(case, asked_from) if per == "herd" else _of_boxes(case, asked_from)


def _of_boxes(case: Case, asked_from: int) -> Readings:
    tries = case.tries
    row = np.flatnonzero(tries.box >= 0)
    row = row[np.argsort(tries.box[row], kind="stable")]
    box, at = tries.box[row], tries.at[row]
    last = asked_moments(box, at, asked_from)
    every, month = np.ones(len(row), bool), tries.month[row]
    most = MOST_MONTHS * month
    evidence = grown(box, at, tries.now[row] / UNIT, tries.failed[row], most, counts=every, asked=last)
    months = evidence.sum / month
    window = _Window(tries, row, evidence.begun[last], last, tries.now)
    return readings_of(
        case,
        box[last],
        at[last],
        months[last],
        np.full(len(last), "", dtype=object),
        np.flatnonzero(months[last] > NOTABLE_MONTHS),
        at[evidence.begun[last]],
        **window.facts(months[last]),
    )


def _of_herd(case: Case, asked_from: int) -> Readings:
    tries = case.tries
    row = np.flatnonzero(tries.box >= 0)
    at, herd = tries.at[row], np.zeros(len(row), np.int64)
    last = asked_moments(herd, at, asked_from)
    every, month = np.ones(len(row), bool), tries.herd_month[row]
    evidence = grown(
        herd,
        at,
        tries.own[row] / UNIT,
        tries.failed[row],
        MOST_MONTHS * month,
        counts=every,
        asked=last,
        alternatives=HERD_ALTERNATIVES,
    )
    works = _at_work(tries.box[row], np.unique(tries.box[row]), at)
    is_known = (works.sum(axis=0) > 1)[last]
    months = np.where(is_known, (evidence.sum / month)[last], np.nan)
    begun = evidence.begun[last]
    window = _Window(tries, row, begun, last, tries.own)
    why = np.where(is_known, "", ONE_BOX)
    notable = np.flatnonzero(months > NOTABLE_MONTHS)
    began, end = at[begun][notable], at[last][notable]
    share = np.minimum(herd_share(case, began, end), herd_share(case, np.minimum(began, end - SPAN_S), end))
    months[notable] *= share**HERD_CLEARLY
    return herd_readings(case, at[last], months, why, notable, at[begun], **window.facts(months))


def _at_work(box: Whole, boxes: Whole, at: Whole) -> NDArray[np.bool_]:
    """Per box and try whether the box had a try since the beginning of the half day (UTC) before."""
    begin = np.searchsorted(at, (at // SPAN_S - 1) * SPAN_S, side="left")
    end = np.searchsorted(at, at, side="right")
    every = np.array([np.append(0, np.cumsum(box == one)) for one in boxes]).reshape(len(boxes), len(at) + 1)
    return np.asarray(every[:, end] > every[:, begin])


class _Window:
    """The tries of each reading's window, counted."""

    def __init__(self, tries: Tries, row: Whole, begun: Whole, last: Whole, chance: Whole) -> None:
        failed, expected = (np.append(0, np.cumsum(x[row])) for x in (tries.failed.astype(np.int64), chance))
        self.begun, self.last, self.chance, self.row = begun, last, chance, row
        self.failed = failed[last + 1] - failed[begun]
        self.visits = last + 1 - begun
        self.expected = (expected[last + 1] - expected[begun]) / UNIT

    def facts(self, months: Numbers) -> dict[str, object]:
        """The figures of the window; the exact tail only where the months are notable."""
        limits = np.array([count_limits(k) for k in range(int(self.failed.max(initial=0)) + 1)])
        low, high = limits[self.failed].T / self.expected if len(self.failed) else (np.zeros(0), np.zeros(0))
        return {
            "failed": self.failed,
            "visits": self.visits,
            "expected": np.where(self.expected < 1, np.round(self.expected, 2), np.round(self.expected, 1)),
            "ratio": np.round(self.failed / self.expected, 2),
            "ratio_low": np.round(low, 2),
            "ratio_high": np.round(high, 2),
            "chance": self.tail(np.flatnonzero(months > NOTABLE_MONTHS)),
        }

    def tail(self, notable: Whole) -> NDArray[np.object_]:
        """The chance of at least this many failures among just these tries, where it is asked for; NaN elsewhere."""
        tails = np.full(len(self.failed), np.nan, dtype=object)
        tails[notable] = [Later(partial(self._tail, n)) for n in notable]
        return tails

    def _tail(self, n: int) -> float:
        tries = self.row[self.begun[n] : self.last[n] + 1]
        return float(chance_of_at_least(self.failed[n : n + 1], self.chance[tries][None, :] / UNIT)[0])


FAILURES_BEYOND_CHANCE = Measure(
    name="failures_beyond_chance",
    unit="months",
    per=("box", "herd"),
    doc="how rarely luck alone would bring that many failures to attach with these cows: at most once in this many "
    "months of the box's work. Each cow counts with her own record from the weeks before yesterday, drawn towards the "
    "herd's, and failures count from when the trouble most likely began, within the last 12 to 24 h. For the herd: "
    "all boxes together, less the more one or two boxes by themselves explain it better",
    source="Shiryaev–Roberts (Pollak 1985, Ann Stat 13:206) with unequal chances (Steiner et al. 2000, Biostatistics "
    "1:441), both from memory; tail: Hong 2013, Comput Stat Data Anal 59:41",
    check="false alarms in simulation within their error: test_failures_beyond_chance; tails: CRAN PoissonBinomial, "
    "Hong 2013, cbpp, SciPy; ratios: epiR: test_chance",
    compute=failures_beyond_chance,
    charts=("failures", "teats"),
    needs=("visits",),
    uses=("box_log",),
    lookback_s=32 * DAY_S,
    facts=(
        FAILED,
        VISITS,
        FactColumn("expected", "failures usual for these cows", "failures"),
        FactColumn("ratio", "times as many as usual", "ratio"),
        FactColumn("ratio_low", "95 % interval, from", "ratio"),
        FactColumn("ratio_high", "95 % interval, to", "ratio"),
        FactColumn("chance", "this many by luck alone", "ratio", odds=True),
        FIRST_AT,
        *SUSPECTS,
    ),
    compared=("failed", "expected"),
)

MEASURES = (FAILURES_BEYOND_CHANCE,)
