"""What will happen: each thing with who, from when until when (UTC seconds), and how strongly."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sentinel.simulator.spec import Numbers

CLINICAL, SUBCLINICAL, SPIKE = "udder-clinical", "udder-subclinical", "udder-spike"
CHRONIC = "udder-chronic"
ARM, OPTICS = "arm-out-of-line", "optics-fouled"


@dataclass(frozen=True, slots=True)
class Udder:
    """One quarter's episode: conductivity rises by `rise` (a share) within `grow_s`, stays, and fades away.

    `shape`: `usual`, `barely`, `single` (a spike of a milking or two), `flat`. `withheld` is when people keep her
    milk apart, from and until; (0, 0) if they do not.
    """

    kind: str
    shape: str
    place: int
    cow: int
    lactation: int
    quarter: int
    start: int
    grow_s: int
    hold_s: int
    fade_s: int
    rise: float
    quarter_loss: float
    cow_loss: float
    cells_k_ml: float
    withheld: tuple[int, int] = (0, 0)
    severe: bool = False

    @property
    def until(self) -> int:
        """When the quarter is as before."""
        return self.start + self.grow_s + self.hold_s + self.fade_s


@dataclass(frozen=True, slots=True)
class BoxFault:
    """A box that attaches badly: its arm out of line at once, or its optics fouled little by little.

    The three effects are those at full size: chance to miss a cow, chance of an incomplete milking, excess of the
    attach time. `hasty`: on the rounds it is wiped, but not clean.
    """

    kind: str
    box: int
    start: int
    grow_s: int
    until: int
    failed: float
    incomplete: float
    attach: float
    axis: int = 0
    shift_mm: float = 0.0
    hasty: bool = False

    def grown(self, at: int) -> float:
        """How far it has come at a moment within it, from 0 to 1."""
        return 1.0 if at - self.start >= self.grow_s else (at - self.start) / self.grow_s


@dataclass(frozen=True, slots=True)
class Stop:
    """A box that takes no cow."""

    box: int
    start: int
    until: int


@dataclass(frozen=True, slots=True)
class Fails:
    """A cow that no box attaches but by chance."""

    place: int
    cow: int
    start: int
    until: int
    chance: float


@dataclass(frozen=True, slots=True)
class Off:
    """A cow that goes off her milk by `size` (a share) for another reason than the udder."""

    place: int
    cow: int
    start: int
    until: int
    size: float


@dataclass(frozen=True, slots=True)
class OffDay:
    """Hours in which all quarters of one cow read higher by `rise` (a share): heat, upset, a change of feed."""

    place: int
    cow: int
    start: int
    until: int
    rise: float


@dataclass(frozen=True, slots=True)
class Disturbed:
    """Hours in which every box misses more cows."""

    start: int
    until: int
    failed: float


@dataclass(frozen=True, slots=True)
class Sensor:
    """A conductivity sensor at one place of one box: it reads `rise` too high, or (`stuck`) one value only.

    One that wanders reads `a_day` higher (lower, if it is negative) with each day.
    """

    box: int
    quarter: int
    start: int
    until: int
    rise: float = 0.0
    stuck: bool = False
    a_day: float = 0.0


@dataclass(frozen=True, slots=True)
class Kicks:
    """The cup comes off a quarter of a cow with some `chance` at each of her milkings."""

    place: int
    cow: int
    quarter: int
    start: int
    until: int
    chance: float


@dataclass(frozen=True, slots=True)
class Spell:
    """Something of the tank or of the exports: from when until when, and how much."""

    start: int
    until: int
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class StaysOut:
    """After her first whole milking past `start` a cow is not seen for `hours`, and is not brought in."""

    place: int
    cow: int
    start: int
    hours: float


@dataclass(frozen=True, slots=True)
class DriedOff:
    """A cow is brought in at `called`, milked whole, and dried off at `at`."""

    place: int
    cow: int
    called: int
    at: int


@dataclass(frozen=True, slots=True)
class ForgottenChore:
    """At a box nobody does a chore (`filter`, `wash`, `optics`, `arm`) whose time comes between `start` and `until`."""

    chore: str
    box: int
    start: int
    until: int


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that will happen; per day `hot` (rise of the conductivity) and `herd_cells` (factor of the cells).

    `mistyped` has the moments after which a milk weight is typed wrong, `corrected_after_h` by turns the hours until it
    is put right. `lost` are the stamps (from, until) of visit lists that never come. `reading_lost` is the share of the
    quarters whose cup came off that show no reading, `log_missed` that of the entries the boxes' logs do not have.
    """

    hot: Numbers = field(repr=False)
    herd_cells: Numbers = field(repr=False)
    udder: tuple[Udder, ...] = ()
    faults: tuple[BoxFault, ...] = ()
    stops: tuple[Stop, ...] = ()
    fails: tuple[Fails, ...] = ()
    off: tuple[Off, ...] = ()
    off_days: tuple[OffDay, ...] = ()
    disturbed: tuple[Disturbed, ...] = ()
    sensors: tuple[Sensor, ...] = ()
    hot_spells: tuple[Spell, ...] = ()
    tank: tuple[Spell, ...] = ()
    dirty: tuple[Spell, ...] = ()
    outages: tuple[Spell, ...] = ()
    mistyped: tuple[int, ...] = ()
    corrected_after_h: tuple[int, ...] = tuple(range(6, 26))
    out: tuple[StaysOut, ...] = ()
    dried: tuple[DriedOff, ...] = ()
    forgotten: tuple[ForgottenChore, ...] = ()
    kicks: tuple[Kicks, ...] = ()
    lost: tuple[Spell, ...] = ()
    reading_lost: float = 0.0
    log_missed: float = 0.0

    @classmethod
    def quiet(cls, days: int) -> Plan:
        """A plan of so many days in which nothing happens."""
        return cls(hot=np.zeros(days), herd_cells=np.ones(days))
