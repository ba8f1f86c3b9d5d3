"""What a measure may know of the farm besides its rows: its boxes, chores and feeds, and since when it is watched."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """One box of a feed whose files are each of one box: its newest row, up to when files without a new one show that
    there was none, and the silence in s up to which it is not quiet (None: that is not known yet)."""

    box: str
    known_until: int
    silent_until: int | None = None
    quiet_least_s: int | None = None

    @property
    def heard_until(self) -> int:
        """Up to when it is known what happened at the box."""
        return max(self.known_until, self.silent_until or self.known_until)


@dataclass(frozen=True, slots=True)
class FeedFacts:
    """What a measure may know of a feed: its name, what it fills, how often it should come, and after how long a
    silence it counts as quiet (None: never).

    `pace` is a word for it; `every_s` says it in s, where somebody has said so or its files tell (`learns`: nobody
    has). Up to a silence of `quiet_least_s` it is not quiet, whatever a rule's bound.

    `tables` are the tables it fills and, as `table.column`, their columns: a laboratory's monthly results and a
    thermometer's hourly readings may fill one table, and neither bounds what can be told of the other.

    `silent_until`: up to when files that came without a new row show that there was none. `boxes`: each box, where
    every file is of one box.
    """

    name: str
    tables: tuple[str, ...]
    pace: str = "hourly"
    known_until: int | None = None
    watched_since: int = 0
    quiet_after_s: int | None = None
    every_s: int | None = None
    quiet_least_s: int = 0
    learns: bool = False
    silent_until: int | None = None
    boxes: tuple[BoxFacts, ...] = ()

    @property
    def heard_until(self) -> int | None:
        """Up to when its newest row tells, or a file that came without one."""
        if self.known_until is None or self.silent_until is None:
            return self.known_until
        return max(self.known_until, self.silent_until)

    @property
    def whole_until(self) -> int | None:
        """Up to when it is known of every box."""
        if self.known_until is None:
            return None
        return min([self.known_until, *(box.heard_until for box in self.boxes)])


@dataclass(frozen=True, slots=True)
class ChoreFacts:
    """A chore the farm does: `chore:name/place`; `event` is the box_log event that records it, if any.

    `planned`: the grazing plan says by when, as of a wire that is moved once a day in its block's turn. `takes_s`: how
    long the farm says that it takes, in s; None if it does not say.
    """

    name: str
    place: str
    event: str = ""
    planned: bool = False
    takes_s: float | None = None

    @property
    def by_plan(self) -> str:
        """Whether a plan says by when, as a rule's `where` asks it: `yes` or `no`."""
        return "yes" if self.planned else "no"

    @property
    def subject(self) -> str:
        """`chore:wash/2`, or `chore:tank` if it has no place."""
        return f"chore:{self.name}/{self.place}" if self.place else f"chore:{self.name}"


@dataclass(frozen=True, slots=True)
class FarmFacts:
    """What a measure may know of the farm besides its rows.

    `watched_since`: UTC seconds from which sentinel has watched; before anything is known of a chore or a feed,
    time counts from here. `whole_herd_lists`: each herd list names every cow, so one left out has gone.
    `decided`: each rule in use and the moment up to which it could last be decided. `zone`: where the farm's months
    begin and end. `asked_from`: readings before this moment are not asked for; a costly measure may leave them out,
    but for the last of each subject. `asked_cows`: of these cows only are readings asked for, where the measure says
    that it heeds it; the rows of the others are there to compare with.
    """

    boxes: tuple[str, ...] = ()
    chores: tuple[ChoreFacts, ...] = ()
    feeds: tuple[FeedFacts, ...] = ()
    watched_since: int = 0
    whole_herd_lists: bool = False
    decided: tuple[tuple[str, int], ...] = ()
    zone: str = "UTC"
    asked_from: int = -(2**62)
    asked_cows: frozenset[str] | None = None
