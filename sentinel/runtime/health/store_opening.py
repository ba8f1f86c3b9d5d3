"""A start on a full disk, or while another process holds the store, so that it cannot even be opened.

A person is told, and it is opened when there is room, or when the other one lets go of it.

Ending instead would have whoever started sentinel start it again every few seconds, for ever, and nobody would hear.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from pathlib import Path

from sentinel.edges.alive import notify_systemd
from sentinel.edges.clock import Clock
from sentinel.edges.machine import no_room, room_of
from sentinel.edges.notifier import Notifier
from sentinel.edges.pulse import put, read, told_before
from sentinel.edges.settings import STORE_NAME, Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.write_lock import locked
from sentinel.errors import StoreError
from sentinel.flow.setup import Setup
from sentinel.runtime.sending.troubles import Troubles

AGAIN_S = 5.0
"""How often it is tried again to open the store."""


def open_patiently(folder: Path, setup: Setup, secrets: Secrets, clock: Clock, environment: Mapping[str, str]) -> Store:
    """The farm's store, opened as soon as there is room for it and nobody else holds it; raises StoreError if it cannot
    be opened for another reason.
    """
    troubles: Troubles | None = None
    notifier = Notifier(secrets.urls)
    before = read(folder)
    try:
        while True:
            try:
                return Store(folder / STORE_NAME)
            except StoreError as error:
                room = room_of(folder)
                held = locked(error)
                if not held and not no_room(error) and not (room is not None and room.full):
                    raise
                troubles = troubles or Troubles(lambda: setup, lambda: notifier, clock, told_before(folder))
                troubles.begin("store" if held else "disk-full", why=str(error.__cause__ or error))
                failing = before.setdefault("failing_since", None) or clock.now()
                before |= {"failing_since": failing, "why": str(error.__cause__), "told": troubles.told_lately()}
                put(folder, {**before, "running": False, "written_at": clock.now()})
            notify_systemd("READY=1\nWATCHDOG=1", environment)
            for _ in range(int(AGAIN_S)):
                troubles.send_due()
                threading.Event().wait(1.0)
    finally:
        notifier.finish(2.0)
        if troubles is not None:
            put(folder, {**before, "told": troubles.told_lately()})
        notifier.close()
