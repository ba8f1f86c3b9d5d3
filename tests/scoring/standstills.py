"""Boxes that stand still, and per-box files that stop: what is told. `python -m tests.scoring.standstills SEED ...`.

Files come every hour, one to five minutes after it, and hold the visits that ended since the one before. `one file`: of
all boxes; `a file a box`: each of one. `empty files come`, or not: then no file is written where there is nothing to
tell. A box stands still by day for 3 to 6 h, ten times in `DAYS` days. `stopped`: of three boxes with a file each, one
box's files do not come for 16 to 20 h, five times, and then all at once.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np
import pandas as pd
from whole.whole_farm import Life, setup_of, shipped_rules

from sentinel.flow.model import DAY_S, HOUR_S, Batch, Rows, TickKind
from sentinel.flow.replay import Raised
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.simulator.plans.happenings import Stop
from sentinel.simulator.plans.scenario import BY_RATES, ByRates, Planned
from sentinel.simulator.simulation import simulate
from sentinel.simulator.spec import HerdSpec

from .episodes import episodes

DAYS, STOPS, HELD_UP = 26, 10, 5
COLUMNS = ("cow", "start", "box", "duration_s", "outcome")
NAMES = ("box-quiet", "feed-quiet", "late-cow")
FEED = """
feed: visits
files: "visits_*.csv"
form: delimited
tables:
  visits: {cow: Cow, start: Start, box: Box, outcome: {column: Ended, words: {milked: milked}}}
"""
Span = tuple[int, int]


class Standing(ByRates):
    """The usual herd, but boxes stand still by day, ten times in all, and not otherwise."""

    def plan(self, spec, calendar, lives, dice):  # type: ignore[no-untyped-def]
        """As drawn, with other stops."""
        planned = BY_RATES.plan(spec, calendar, lives, dice)
        rng = np.random.default_rng(spec.seed)
        stops = []
        for day in np.linspace(4, spec.days - 2, STOPS).astype(int).tolist():
            start = calendar.begin + day * DAY_S + int(rng.integers(7 * HOUR_S, 14 * HOUR_S))
            stops.append(Stop(int(rng.integers(spec.boxes)), start, start + int(rng.integers(3 * HOUR_S, 6 * HOUR_S))))
        return Planned(planned.lives, replace(planned.plan, stops=tuple(stops)), planned.exports)


@dataclass(frozen=True, slots=True)
class Told:
    """What was told: standstills found by each rule and after how many hours, and what was told besides."""

    found: Counter[str]
    hours: list[float]
    pushed: int
    other: Counter[str]
    late: set[tuple[str, int]]


def lived(
    visits: pd.DataFrame,
    boxes: Sequence[str],
    begin: int,
    until: int,
    *,
    apart: bool,
    empty: bool,
    gaps: Sequence[Span],
) -> list[Raised]:
    """A farm lived through by hourly files; in each of the `gaps` the files of the first box wait for its end."""
    shipped = shipped_rules()
    rules = {
        path: "".join(f"\n- rule: {part}" for part in shipped[path].split("\n- rule: ")[1:] if part.split()[0] in NAMES)
        for path in ("rules/boxes.yaml", "rules/cows.yaml", "rules/feeds.yaml")
    }
    named = ", ".join(f'"{box}"' for box in boxes)
    life = Life(setup_of(rules, (FEED,), f"name: A\nzone: UTC\nboxes: [{named}]\n"), begin=None)
    for number, (at, batches) in enumerate(_files(visits, boxes, begin, until, apart=apart, empty=empty, gaps=gaps)):
        life.at(at, *batches, kind=TickKind.RUN if number else TickKind.START)
    live = live_alerts(life.store)
    if len(live) < 200:
        assert as_arrived(life.store) == live
    return live


def _files(
    visits: pd.DataFrame,
    boxes: Sequence[str],
    begin: int,
    until: int,
    *,
    apart: bool,
    empty: bool,
    gaps: Sequence[Span],
) -> Iterator[tuple[int, list[Batch]]]:
    """When files come, and what they hold."""
    rng = np.random.default_rng(11)
    ended = visits["start"].to_numpy(np.int64) + np.nan_to_num(visits["duration_s"].to_numpy(float)).astype(np.int64)
    order = np.argsort(ended, kind="stable")
    rows, ended = visits.iloc[order], ended[order]
    box_of = rows["box"].to_numpy(object)
    values = [
        tuple(None if pd.isna(cell) else cell for cell in row) for row in rows[list(COLUMNS)].itertuples(index=False)
    ]
    held: list[Batch] = []
    for stamp in range(begin + HOUR_S, until + 1, HOUR_S):
        first, last = np.searchsorted(ended, [stamp - HOUR_S, stamp]).tolist()
        batches = []
        for box in boxes if apart else ("",):
            own = [values[n] for n in range(first, last) if not box or box_of[n] == box]
            if not own and not empty:
                continue
            part = (Rows("visits", COLUMNS, tuple(own), tuple(range(2, 2 + len(own)))),) if own else ()
            batch = Batch("visits", f"visits_{f'box{box}_' if box else ''}{stamp}.csv", part)
            if box == boxes[0] and any(a <= stamp < b for a, b in gaps):
                held.append(batch)
            elif box == boxes[0] and held:
                batches += [*held, batch]
                held = []
            else:
                batches.append(batch)
        yield stamp + int(rng.integers(60, 300)), batches


def told(raised: Sequence[Raised], stops: Sequence[tuple[str, Span]]) -> Told:
    """Which standstills were told of within 4 h of their beginning, by which rule, and what was told besides."""
    found: Counter[str] = Counter()
    hours, pushed, excused = [], 0, set()
    for box, (start, until) in stops:
        here = [
            one
            for one in raised
            if one.rule in ("box-quiet", "feed-quiet")
            and (one.subject == f"box:{box}" or one.rule == "feed-quiet")
            and start <= one.raised_at <= until + HOUR_S
        ]
        excused |= {id(one) for one in here}
        for rule in ("box-quiet", "feed-quiet"):
            own = [one for one in here if one.rule == rule]
            found[rule] += bool(own)
            if rule == "box-quiet" and own:
                hours.append((own[0].raised_at - start) / HOUR_S)
                pushed += own[0].urgency == "now"
    other = Counter(one.rule for one in raised if one.rule != "late-cow" and id(one) not in excused)
    return Told(found, hours, pushed, other, {(o.subject, o.raised_at) for o in raised if o.rule == "late-cow"})


def standing(seeds: Sequence[int]) -> Iterator[str]:
    """Boxes that stand still, line by line."""
    for boxes, cows in ((1, 50), (3, 150)):
        for apart in (False, True) if boxes > 1 else (False,):
            for empty in (True, False):
                total: Counter[str] = Counter()
                hours: list[float] = []
                for seed in seeds:
                    herd = simulate(HerdSpec(cows, boxes, DAYS, seed), Standing())
                    names, begin, until = herd.spec.box_names, herd.calendar.begin, herd.calendar.until
                    stopped = episodes(herd.items, ["box-stopped"])
                    stops = [(one.subject.partition(":")[2], (one.start, one.until)) for one in stopped]
                    here = told(
                        lived(herd.tables.visits, names, begin, until, apart=apart, empty=empty, gaps=()), stops
                    )
                    hours += here.hours
                    total.update({f"found {rule}": n for rule, n in here.found.items()})
                    total.update({f"besides {rule}": n for rule, n in here.other.items()})
                    total.update({"stops": len(stops), "late cows": len(here.late), "box-days": boxes * DAYS})
                files = "a file a box" if apart else "one file"
                spread = f"{np.median(hours):.1f} h (at most {max(hours):.1f})" if hours else "-"
                yield (f"{boxes} boxes, {files}, {'empty files come' if empty else 'none'}: {spread} {dict(total)}")


def stopping(seeds: Sequence[int]) -> Iterator[str]:
    """Files of one box that stop, line by line."""
    for empty in (True, False):
        false = really = 0
        for seed in seeds:
            herd = simulate(HerdSpec(150, 3, DAYS, seed))
            names, begin, until = herd.spec.box_names, herd.calendar.begin, herd.calendar.until
            rng = np.random.default_rng(seed)
            gaps = []
            for day in np.linspace(4, DAYS - 3, HELD_UP).astype(int).tolist():
                start = begin + day * DAY_S + int(rng.integers(DAY_S))
                gaps.append((start, start + int(rng.integers(16, 20)) * HOUR_S))
            late = lived(herd.tables.visits, names, begin, until, apart=True, empty=empty, gaps=gaps)
            for one in late:
                if one.rule == "late-cow" and any(a <= one.raised_at < b for a, b in gaps):
                    true = _was_late(herd.tables.visits, one)
                    really, false = really + true, false + (not true)
            quiet = [one for one in late if one.rule == "feed-quiet"]
            told_of = sum(any(a <= one.raised_at < b for one in quiet) for a, b in gaps)
            yield (f"  seed {seed}: of {len(gaps)} told {told_of}; box-quiet {_number(late)}")
        yield (f"stopped, {'empty files come' if empty else 'none'}: late cows false {false}, really late {really}")


def _was_late(visits: pd.DataFrame, alert: Raised) -> bool:
    """Whether a cow was really past 14 h within the three hours before she was called late."""
    hers = visits[(visits["cow"] == alert.subject.partition(":")[2]).to_numpy(bool)]
    milked = np.sort(hers["start"].to_numpy(np.int64)[(hers["outcome"] == "milked").to_numpy(bool)])
    following = np.append(milked[1:], 1 << 60)
    return bool(
        (
            (milked + 14 * HOUR_S < alert.raised_at)
            & (following > alert.raised_at - 3 * HOUR_S)
            & (following - milked > 14 * HOUR_S)
        ).any()
    )


def _number(raised: Sequence[Raised]) -> int:
    return sum(one.rule == "box-quiet" for one in raised)


if __name__ == "__main__":
    numbers = [int(seed) for seed in sys.argv[1:]] or [1]
    for line in chain(standing(numbers), stopping(numbers)):
        sys.stdout.write(line + "\n")
