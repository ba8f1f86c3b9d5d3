"""Feeds that come at several paces for sixty days and then stop: what is told. `python -m tests.scoring.feed_paces`.

Each file is stamped, comes 3 to 15 minutes after its stamp, and its newest row is up to half an hour older. `by rows`:
the map says nothing of stamps. `said`: the map says how often it comes; `learned`: it does not; `folder`: learned,
where two weeks of files lay in the inbox when watching began.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from text_tables import DAY_0
from whole.whole_farm import FEED, Life, setup_of, shipped_rules

from sentinel.flow.model import DAY_S, HOUR_S, Batch, Rows, TickKind
from sentinel.flow.replay import Raised
from sentinel.runtime.record.replay import as_arrived, live_alerts

DAYS = 60
PACES: dict[str, float | tuple[float, float]] = {
    "every hour": 1,
    "every 2 h": 2,
    "every 6 h": 6,
    "every day": 24,
    "irregular, 2 to 16 h": (2, 16),
}


@dataclass(frozen=True, slots=True)
class Told:
    """What was told of a feed: alerts while it came, and how many hours after its last file that it had stopped."""

    false: int
    first_day: int
    stop_h: float | None
    again: list[Raised]
    live: list[Raised]


def stamps(pace: float | tuple[float, float], chance: np.random.Generator, days: float) -> Iterator[int]:
    """When each file is stamped, in seconds from the first."""
    at = 0.0
    while at < days * DAY_S:
        yield round(at)
        at += HOUR_S * (chance.uniform(*pace) if isinstance(pace, tuple) else pace)


def lived(pace: float | tuple[float, float], how: str, by_rows: bool = False, days: float = DAYS) -> Told:
    """A farm of one feed, lived through until four weeks after the last file."""
    chance = np.random.default_rng(7)
    said = f"every: {pace} h\ntables:" if how == "said" else "tables:"
    life = Life(setup_of(_rules(), (FEED.replace("tables:", said),)), begin=None)
    before = 14 * DAY_S if how == "folder" else 0
    files = []
    for number, since in enumerate(stamps(pace, chance, days + before / DAY_S)):
        stamp = DAY_0 + since
        newest = stamp - int(chance.integers(0, 30 * 60))
        rows = Rows("visits", ("cow", "start", "outcome"), ((str(number % 7), newest, "milked"),), (2,))
        until = None if by_rows else stamp
        arrives = stamp + int(chance.integers(3 * 60, 15 * 60))
        files.append((arrives, Batch("milkings", f"milkings_{number}.csv", (rows,), complete_until=until)))
    begin = DAY_0 + before + 16 * 60
    life.at(begin, *(batch for at, batch in files if at <= begin), kind=TickKind.START)
    for at, batch in files:
        if at > begin:
            life.at(at, batch)
    last = files[-1][0]
    while life.due is not None and life.due < last + 28 * DAY_S:
        life.at(life.due)
    live = [one for one in live_alerts(life.store) if one.subject == "feed:milkings"]
    false = [one for one in live if one.raised_at <= last]
    stop = next((one for one in live if one.raised_at > last), None)
    return Told(
        len(false),
        sum(one.raised_at <= begin + DAY_S for one in false),
        None if stop is None else (stop.raised_at - last) / HOUR_S,
        [one for one in as_arrived(life.store) if one.subject == "feed:milkings"],
        live,
    )


def _rules() -> dict[str, str]:
    """The rule that ships."""
    return {"rules/feeds.yaml": shipped_rules()["rules/feeds.yaml"].partition("\n- rule: rows-set-aside")[0] + "\n"}


def main() -> str:
    """The figures as text."""
    lines = [f"{'':22}{'':10}{'':12}false in {DAYS} d (first day)   stop told after"]
    for name, pace in PACES.items():
        for how in ("said", "learned", "folder"):
            for by_rows in (False, True):
                if how == "said" and isinstance(pace, tuple):
                    continue
                told = lived(pace, how, by_rows)
                assert told.again == told.live
                known = "by rows" if by_rows else "by stamps"
                stop = "-" if told.stop_h is None else f"{told.stop_h:.1f} h"
                lines.append(f"{name:22}{how:10}{known:12}{told.false:4} ({told.first_day})   {stop:>20}")
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(main() + "\n")
