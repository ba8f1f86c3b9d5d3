"""Where ticks come from: an export read with its map, and the past as it was recorded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sentinel.edges.apart import rows_apart
from sentinel.edges.recorded import recorded_batches
from sentinel.edges.store import Store
from sentinel.flow.mapping import looks_like_icar, matches, read_export, read_icar, refused, whole_file
from sentinel.flow.model import Batch, Export, Tick, TickKind
from sentinel.flow.setup import ICAR, Setup
from sentinel.flow.tables import VISITS


def refused_whole(setup: Setup, export: Export, why: str) -> Batch | None:
    """An export set aside whole, and why, in words; None if no map is for it and it is not ICAR ADE JSON."""
    for feed in setup.feeds:
        if matches(feed, export.name):
            return refused(feed, export.name, why)
    if ICAR not in setup.farm.not_used and looks_like_icar(export):
        return Batch(ICAR, export.name, set_aside=(whole_file(why, VISITS.name),))
    return None


def batch_of(setup: Setup, export: Export) -> Batch | None:
    """What an export gives by the farm's feed maps; None if no map is for it and it is not ICAR ADE JSON."""
    for feed in setup.feeds:
        if matches(feed, export.name):
            batch = read_export(feed, export, setup.farm.zone, setup.farm.one_file, rows_apart)
            return replace(batch, continues=True) if export.read_from else batch
    if ICAR not in setup.farm.not_used and looks_like_icar(export):
        return read_icar(export, ICAR, setup.farm.one_file)
    return None


@dataclass(frozen=True, slots=True)
class Recorded:
    """One recorded moment: the settings used from then on (None: as before), the files since, and the tick."""

    tick: Tick
    files: tuple[tuple[int, Batch], ...]
    texts: dict[str, str] | None = None


def recorded_ticks(store: Store) -> Iterator[Recorded]:
    """The ticks that a store has seen, oldest first, each with what was first known at it."""
    settings = store.settings()
    files = recorded_batches(store)
    ahead = next(files, None)
    for row in store.rows("select at, kind from ticks order by at"):
        at = row["at"]
        texts = None
        while settings and settings[0][0] <= at:
            texts = settings.pop(0)[1]
        mine = []
        while ahead is not None and ahead[0] <= at:
            mine.append(ahead)
            ahead = next(files, None)
        answers, chores, deliveries = store.inputs_known_at(at)
        tick = Tick(at, TickKind(row["kind"]), (), answers, chores, deliveries)
        yield Recorded(tick, tuple(mine), texts)
