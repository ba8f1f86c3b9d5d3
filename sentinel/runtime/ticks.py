"""Where ticks come from: an export read with its map, and the past as it was recorded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sentinel.edges.apart import rows_apart
from sentinel.edges.store import Store
from sentinel.edges.store.history import file_numbers, recorded_batches, settings_used, tick_records
from sentinel.edges.store.inputs import inputs_known_at
from sentinel.flow.feeds import (
    ADE_FEEDS,
    ICAR,
    looks_like_icar,
    read_export,
    read_icar,
    refused,
    whole_file,
)
from sentinel.flow.feeds.possible import only_possible
from sentinel.flow.feeds.sharing import divisions, told_once
from sentinel.flow.model import Batch, Export, Tick, TickKind
from sentinel.flow.reasons import Reason
from sentinel.flow.setup import Setup
from sentinel.flow.tables import VISITS


def refused_whole(setup: Setup, export: Export, why: Reason) -> Batch | None:
    """An export set aside whole, and why; None if no map is for it and it is not ICAR ADE JSON."""
    feed = setup.map_for(export.name)
    if feed is not None:
        return refused(feed, export.name, why)
    if ICAR not in setup.farm.not_used and looks_like_icar(export):
        return Batch(ICAR, export.name, set_aside=(whole_file(why, VISITS.name),))
    return None


def batch_of(setup: Setup, export: Export) -> Batch | None:
    """What an export gives by the farm's feed maps, without what cannot be a reading; None if no map is for it and it
    is not ICAR ADE JSON."""
    batch = as_written(setup, export)
    if batch is None:
        return None
    maps = {feed.feed: feed for feed in setup.maps_for(export.name)}
    possible = [only_possible(replace(one, besides=()), maps.get(one.feed)) for one in batch.every]
    return replace(possible[0], besides=tuple(possible[1:]))


def as_written(setup: Setup, export: Export) -> Batch | None:
    """The same with every figure as it stands in the export."""
    feeds = setup.maps_for(export.name)
    if feeds:
        zone, bounds = setup.farm.zone, setup.farm.one_file
        # the first one tells of rows that none takes
        kinds = [divisions(feeds), *((),) * (len(feeds) - 1)]
        read = [read_export(feed, export, zone, bounds, rows_apart, of) for feed, of in zip(feeds, kinds, strict=True)]
        first, *others = told_once(read)
        return replace(first, besides=tuple(others))
    if set(ADE_FEEDS) <= set(setup.farm.not_used) or not looks_like_icar(export):
        return None
    batch = read_icar(export, setup.farm.zone, setup.farm.one_file)
    used = [replace(one, besides=()) for one in batch.every if one.feed not in setup.farm.not_used]
    return replace(used[0], besides=tuple(used[1:])) if used else None


@dataclass(frozen=True, slots=True)
class Recorded:
    """One recorded moment: the settings used from then on (None: as before), the files since, and the tick."""

    tick: Tick
    files: tuple[tuple[int, Batch], ...]
    texts: dict[str, str] | None = None


def recorded_ticks(store: Store) -> Iterator[Recorded]:
    """The ticks that a store has seen, oldest first, each with what was first known at it."""
    settings, used = settings_used(store), 0
    numbers = iter(file_numbers(store))
    files, number = recorded_batches(store), next(numbers, None)
    for record in tick_records(store):
        texts = settings[record.settings_to - 1][1] if record.settings_to > used else None
        used = record.settings_to
        batches = []
        while number is not None and number <= record.files_to:
            batches.append(next(files))
            number = next(numbers, None)
        answers, chores, deliveries = inputs_known_at(store, record.at)
        tick = Tick(record.at, TickKind(record.kind), (), answers, chores, deliveries, record.jumped_s)
        yield Recorded(tick, tuple(batches), texts)
