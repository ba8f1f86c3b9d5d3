"""That there is a copy of the store, which `status` tells."""

from __future__ import annotations

import sqlite3
from contextlib import suppress

from sentinel.cli.base import now
from sentinel.edges.store import Store
from sentinel.runtime.health.status import BACKED_UP_AT


def noted(store: Store) -> None:
    """Remember that there is a copy of now; where nothing can be written, the copy counts all the same."""
    with suppress(sqlite3.OperationalError):
        store.put_meta(BACKED_UP_AT, str(now()))
