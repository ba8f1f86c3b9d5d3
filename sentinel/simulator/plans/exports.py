"""How the herd computer of a simulated farm writes its exports, and which of them go wrong."""

from __future__ import annotations

from dataclasses import dataclass

from sentinel.flow.model import DAY_S, HOUR_S


@dataclass(frozen=True, slots=True)
class ExportPlan:
    """From `first` on (UTC seconds), the visit lists every `every_s`; files that go wrong by the moment that their name
    is stamped with.

    `history`: the first visit list holds all visits before it, those of the ICAR box too. `timed`: ICAR visits say how
    long the milking took. `recordings`: milk recordings are written. `unreadable_at`: visit lists with three unreadable
    rows. `cut_at`: box logs that end half-way. `tank_after_s`: how long after the last day the tank still writes.

    `split`: visits and quarters in two exports, the quarters `quarters_after_s` later. `by_box`: a visit list of each
    box. `in_progress`: a list is written at its stamp, with the visits that have not ended as far as they have come.
    `stamped`: the maps take what the name says for the moment up to which the file is complete. `unsaid`: columns of
    the visits, and tables, that no export has.
    """

    first: int
    history: bool = False
    timed: bool = True
    recordings: bool = True
    unreadable_at: tuple[int, ...] = ()
    cut_at: tuple[int, ...] = ()
    tank_after_s: int = DAY_S
    every_s: int = HOUR_S
    split: bool = False
    quarters_after_s: int = 0
    by_box: bool = False
    in_progress: bool = False
    stamped: bool = True
    unsaid: tuple[str, ...] = ()
