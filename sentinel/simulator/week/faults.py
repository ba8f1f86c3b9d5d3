"""What is planted: each fault says who, from when until when (UTC seconds), and how strongly.

Faults of the animals and machines change what happens; faults of the exports change only what is written of it.
"""

from __future__ import annotations

from dataclasses import dataclass

AXES = ("x", "y", "z")


@dataclass(frozen=True, slots=True)
class ArmShift:
    """A box's arm stands `shift_mm` off on one axis until it is calibrated at `until`."""

    box: str
    axis: str
    shift_mm: float
    start: int
    until: int


@dataclass(frozen=True, slots=True)
class Climb:
    """A quarter's conductivity climbs evenly by `rise` (a share) from `start` to `peak`, then stays to `until`."""

    cow: str
    quarter: str
    rise: float
    start: int
    peak: int
    until: int


@dataclass(frozen=True, slots=True)
class FailsEverywhere:
    """A cow is missed with this chance at every box from `start` to `until`."""

    cow: str
    chance: float
    start: int
    until: int


@dataclass(frozen=True, slots=True)
class StaysOut:
    """After her first full milking past `after` a cow is not seen for `hours` (and is not brought in)."""

    cow: str
    after: int
    hours: float


@dataclass(frozen=True, slots=True)
class DriesOff:
    """A cow is called at `called`, and dried off after that milking."""

    cow: str
    called: int


@dataclass(frozen=True, slots=True)
class Withheld:
    """From `start` a cow's milk is kept out of the tank."""

    cow: str
    start: int


@dataclass(frozen=True, slots=True)
class ForgottenFilter:
    """At the wash of a box between `start` and `until` nobody puts a new filter in."""

    box: str
    start: int
    until: int


@dataclass(frozen=True, slots=True)
class Faults:
    """Everything planted among the animals, the machines and the people."""

    arm: tuple[ArmShift, ...] = ()
    climbs: tuple[Climb, ...] = ()
    fails: tuple[FailsEverywhere, ...] = ()
    out: tuple[StaysOut, ...] = ()
    dries: tuple[DriesOff, ...] = ()
    withheld: tuple[Withheld, ...] = ()
    filters: tuple[ForgottenFilter, ...] = ()

    def arm_of(self, box: str, at: float) -> ArmShift | None:
        """The shift of a box's arm at a moment, if there is one."""
        return next((a for a in self.arm if a.box == box and a.start <= at < a.until), None)

    def failing(self, cow: str, at: float) -> float | None:
        """The planted chance that a cow is missed at a moment, if there is one."""
        return next((f.chance for f in self.fails if f.cow == cow and f.start <= at < f.until), None)
