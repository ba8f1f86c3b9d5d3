"""Thirty days of a farm with everything going wrong in them, beside the same days with nothing going wrong.

    cd tests && python -m faults.days.soak [DAYS] [SEED]

A simulated herd's exports are given, at the moments at which they would have come, to a real `sentinel run` on a
story's clock (`story_process`): twice, once in peace and once with the process killed, exports that first come spoilt,
exports nobody has a map for, settings spoilt and put right, the store locked, the inbox gone, the disk full, a clock
that stands wrong for twenty seconds, a receiver that refuses for hours, and strangers at the page. The story stands
still while a fault lasts that is one of real seconds. After both, the alerts must be the same.

Left out of the comparison are the rules that tell of the faults themselves (`ABOUT_FAULTS`). A process that was killed
decides again after it has started, a second later than the one that was not: moments may differ by `APART_S`.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from faults.days.faulty_days import FAULTS, Days, Faults, Receiver, opened
from faults.days.given_up import GivenUp, given_up
from faults.disk.full_disk import disk
from faults.faced import Faced

from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.simulator import HerdSpec, simulate, write_farm

ABOUT_FAULTS = ("rows-set-aside", "cannot-tell")
APART_S = 5
DISK_BYTES = 400_000_000
HERD = HerdSpec(150, 3, 30, 5, "Europe/Dublin", date(2026, 10, 5))
"""Its days hold the autumn night on which the clocks go back."""

Told = tuple[str, str, int, int | None]
"""An alert: rule, subject, when it was raised and when it ended."""


@dataclass(slots=True)
class Lived:
    """What some days led to: the alerts, what people answered and what of that is known, and what it took."""

    alerts: list[Told]
    answered: Counter[str]
    known: Counter[str]
    numbers: Counter[str]
    given_up: GivenUp
    replayed: bool
    memory_mb: float
    at_rest_mb: float
    starts: int
    took: Counter[str]


def live(days: Days, told: Callable[[float], None] = lambda share: None) -> Lived:
    """Live through the days and gather what they led to."""
    try:
        days.live(told)
    finally:
        days.process.kill()
    with opened(days.folder) as store:
        store.verify()
        alerts = [(one.rule, one.subject, one.raised_at, one.over_at) for one in all_alerts(store)]
        known = Counter(row["note"] for row in fetch(store, "select note from answers"))
        return Lived(
            sorted(alerts, key=str),
            days.answered,
            Counter({note: known[note] for note in days.answered}),
            Counter(f"{one.to} {one.notice}" for one in days.phone.messages),
            given_up(store),
            as_arrived(store) == live_alerts(store),
            days.process.memory_mb,
            days.at_rest_mb,
            days.process.starts,
            days.took,
        )


def apart(peace: Lived, faults: Lived) -> tuple[list[Told], list[Told], int]:
    """Alerts of either life that the other has not, within `APART_S`; and how many differ by any second at all."""
    left = [one for one in faults.alerts if one[0] not in ABOUT_FAULTS]
    missing, moved = [], 0
    for one in peace.alerts:
        if one[0] in ABOUT_FAULTS:
            continue
        other = next((other for other in left if _alike(one, other)), None)
        if other is None:
            missing.append(one)
            continue
        left.remove(other)
        moved += one != other
    return missing, left, moved


def _alike(one: Told, other: Told) -> bool:
    if one[:2] != other[:2] or abs(one[2] - other[2]) > APART_S or (one[3] is None) != (other[3] is None):
        return False
    return one[3] is None or abs(one[3] - (other[3] or 0)) <= APART_S


@dataclass(frozen=True, slots=True)
class Soaked:
    """Both lives, and in what they differ: alerts of the first that the second has not, and the other way round."""

    peace: Lived
    faults: Lived
    missing: list[Told]
    more: list[Told]
    moved: int

    @property
    def lost(self) -> list[str]:
        """Whatever of the peaceful life the other one has not, and whatever it was told and does not know."""
        found = [f"alert {one}" for one in self.missing]
        found += [f"answer {one}" for one in self.faults.answered - self.faults.known]
        found += self.faults.given_up.lost
        return found + (["told again it is another story"] if not self.faults.replayed else [])

    def __str__(self) -> str:
        calm, wild = self.peace, self.faults
        again = sum(wild.numbers.values()) - len(wild.numbers)
        lines = [
            f"{len(calm.alerts)} alerts in peace, {len(wild.alerts)} with faults; {self.moved} to another second",
            f"{wild.answered.total()} answers, {wild.starts} starts, {again} notices came again under their number",
            f"most memory {calm.memory_mb:.0f} MB in peace, {wild.memory_mb:.0f} MB with faults; "
            f"at the end {calm.at_rest_mb:.0f} and {wild.at_rest_mb:.0f} MB",
            ", ".join(f"{name} {many}" for name, many in sorted(wild.took.items())),
            *(f"given up in time, {why}: {many}" for why, many in sorted(wild.given_up.kept.items())),
            *(f"lost: {one}" for one in self.lost),
            *(f"not in peace: {one}" for one in self.more),
        ]
        return "\n".join(lines)


def soak(
    place: Path, days: int = HERD.days, seed: int = 1, faults: Faults = FAULTS, before: int = 0,
    upto: int | None = None, told: Callable[[str], None] = lambda said: None,
) -> Soaked:  # fmt: skip
    """Both lives, one after the other, over so many days (of which only exports up to the `upto`-th).

    So many exports `before` are there already when watching begins.
    """
    source = place / "herd"
    write_farm(source, simulate(HerdSpec(HERD.cows, HERD.boxes, days, HERD.seed, HERD.zone, HERD.start)), False)
    if upto is not None:
        for path in sorted((source / "exports").iterdir(), key=lambda one: (one.stat().st_mtime, one.name))[upto:]:
            path.unlink()
    lives = []
    for name, dice in (("in peace", None), ("with faults", random.Random(seed))):
        steps = iter(range(10, 101, 10))
        ahead = next(steps)

        def progress(share: float, name: str = name, steps: Iterator[int] = steps) -> None:
            nonlocal ahead
            if share * 100 >= ahead:
                told(f"{name}: {ahead} %")
                ahead = next(steps, 1000)

        with disk(place / name / "disk", DISK_BYTES) as room, Receiver() as phone:
            lives.append(live(Days(place / name, source, phone, room, dice, faults, before), progress))
    return Soaked(*lives, *apart(*lives))


def faced(found: Soaked, days: int) -> Faced:
    """The line of the table."""
    most = max(found.peace.memory_mb, found.faults.memory_mb)
    tried = found.faults.took.total()
    return Faced(f"{days} days with all of it (faults)", tried, len(found.lost), len(found.more), 0.0, most)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        _say(str(soak(Path(made), *(int(one) for one in sys.argv[1:]), told=_say)))
