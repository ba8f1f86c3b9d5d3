"""Each day's seal, made once the day is over on the farm's clock, and sent to where the farm wants it."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path

from sentinel.edges.locales import words_of
from sentinel.edges.store import Store
from sentinel.edges.store.log import append_entries
from sentinel.edges.store.outbox import put_notices
from sentinel.flow.decide import notice_entry
from sentinel.flow.record.seal import Seal, days_due, seal_entry, seal_line, seal_notice
from sentinel.flow.setup import Setup
from sentinel.runtime.record.span import day_seal

SEALED = "sealed_day"
"""Under what the store keeps the last day that was sealed."""

AGAIN_S = 3600
"""After a file that could not be written the next try is so much later."""

log = logging.getLogger("sentinel")


class Sealing:
    """The seals of one farm, as its service makes them."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._next_at = 0

    def look(self, setup: Setup, folder: Path, at: int) -> list[Seal]:
        """Seal the days that are over by `at`; where the farm wants no seals, or all is done, nothing happens."""
        plan = setup.farm.seal
        if not (plan.file or plan.tell) or self._next_at - AGAIN_S <= at < self._next_at:  # further back: another clock
            return []
        today = words_of(setup.farm).local(at).date()
        days = days_due(self._store.meta(SEALED), today)
        self._next_at = at + 60
        try:
            return [seal_day(self._store, setup, folder, day, at) for day in days]
        except OSError as error:
            self._next_at = at + AGAIN_S
            log.warning("the seal of %s could not be written to %s: %s", days[0], plan.file, error)
            return []


def seal_day(store: Store, setup: Setup, folder: Path, day: date, at: int) -> Seal:
    """Seal a day and send the seal; raises OSError if the file cannot be written, and then nothing was sent."""
    plan, words = setup.farm.seal, words_of(setup.farm)
    channels = {person.name: person.channels for person in setup.people}
    told = [name for name in plan.tell if name in channels]
    with store.writing():
        seal = day_seal(store, setup.farm.name, setup.farm.zone, day)
        notices = put_notices(store, [seal_notice(seal, at, name, words) for name in told], channels)
        to = [*told, *([plan.file] if plan.file else [])]
        append_entries(store, [seal_entry(seal, at, to), *map(notice_entry, notices)])
        store.put_meta(SEALED, seal.day)
        if plan.file:
            add_line(folder / plan.file, seal_line(seal))
    return seal


def add_line(path: Path, line: str, sync: Callable[[int], None] = os.fsync) -> None:
    """Add a line to a file, which is made if it is not there, but not the folder: its disk may not be mounted."""
    with path.open("a", encoding="utf-8") as file:
        file.write(f"{line}\n")
        file.flush()
        sync(file.fileno())
