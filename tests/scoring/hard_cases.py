"""Herds under hard conditions: which cases there are, how large and how long, and which seeds are for what."""

from __future__ import annotations

from collections.abc import Mapping

from sentinel.simulator import HerdSpec
from sentinel.simulator.conditions import CONDITIONS

CHOOSING = tuple(range(1, 10))
"""Seeds on which bounds may be chosen."""

REPORTING = tuple(range(301, 313))
"""Seeds for what is reported; nothing is chosen on them."""

DAYS, COWS, BOXES = 60, 180, 3
"""A herd of a case, where its conditions do not decide the size."""

ONLY_IN_FILES = ("rows-in-pieces", "files-by-box", "in-progress")
"""What these change is put right by a later file: as if every export had been on time, nothing is another. Their test
reads real files (tests/whole/replay/test_hard_exports.py)."""

MORE = "more-faults"
"""Every case but the usual one has this condition as well, as box faults are rare."""

USUAL = "as usual"
TOGETHER = (
    ("slow-optics", "two-faults"),
    ("seven-boxes", "slow-optics", "two-faults"),
    ("bad-days", "two-faults"),
    ("one-box", "standstills"),
    ("one-box", "standstills", "unstamped"),
    ("no-positions", "two-faults"),
    ("uneven-yield", "missing-exports"),
)
CASES: Mapping[str, tuple[str, ...]] = {
    USUAL: (),
    MORE: (MORE,),
    **{name: (MORE, name) for name in CONDITIONS if name not in (MORE, *ONLY_IN_FILES)},
    **{", ".join(names): (MORE, *names) for names in TOGETHER},
}
"""What is reported: a herd as usual, each condition, and some that come together."""


def spec_of(case: str, seed: int) -> HerdSpec:
    """The herd of a case and a seed."""
    return HerdSpec(COWS, BOXES, DAYS, seed, conditions=CASES[case])
