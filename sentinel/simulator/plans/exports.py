"""How the herd computer of a simulated farm writes its exports, and which of them go wrong."""

from __future__ import annotations

from dataclasses import dataclass

from sentinel.flow.model import DAY_S


@dataclass(frozen=True, slots=True)
class ExportPlan:
    """From `first` on every hour (UTC seconds); files that go wrong by the moment that their name is stamped with.

    `history`: the first visit list holds all visits before it, those of the ICAR box too. `timed`: ICAR visits say how
    long the milking took. `recordings`: milk recordings are written. `unreadable_at`: visit lists with three unreadable
    rows. `cut_at`: box logs that end half-way. `tank_after_s`: how long after the last day the tank still writes.
    """

    first: int
    history: bool = False
    timed: bool = True
    recordings: bool = True
    unreadable_at: tuple[int, ...] = ()
    cut_at: tuple[int, ...] = ()
    tank_after_s: int = DAY_S
