"""One export read and stored, whatever it is: if it cannot be, it is set aside whole, and the next one is read.

Nothing that a file holds may stop the others. So a fault in reading or storing one is the file's own: it is set aside
with a reason that a person is told, and is not tried again until it changes or `once --again` asks for it. What is the
machine's (a full disk, a store that cannot be opened) says nothing about the file, and is left to the next look.
"""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from sentinel.errors import SentinelError
from sentinel.flow.again_and_pages import Reread
from sentinel.flow.bounds import cut
from sentinel.flow.model import Batch, Export
from sentinel.flow.reasons import Reason
from sentinel.runtime.engine import Engine
from sentinel.runtime.known.window import MOST_A_BOX, is_large, room_for
from sentinel.runtime.ticks import batch_of, refused_whole

log = logging.getLogger("sentinel")

LONGEST_DETAIL = 200


def absorb(
    engine: Engine,
    at: int,
    export: Export,
    refused: Reason | None,
    inside: Callable[[Batch], None],
    failed: Callable[[str], None] = lambda why: None,
    reread: Reread | None = None,
) -> Batch | None:
    """Read one export and store it, whole or set aside; None if no map is for it. `refused`: why it is not even read.

    `reread`: why it is read once more, if it is.

    `inside` is called with what is stored, within the transaction that stores it, `failed` if dealing with it fails,
    with why. Raises only what is no fault of the file.
    """
    setup = engine.setup
    try:
        batch = refused_whole(setup, export, refused) if refused else batch_of(setup, export)
    except Exception as error:
        if not _is_its_own(error):
            raise
        log.exception("reading %s failed; it is set aside", export.name)
        failed(_detail(error))
        batch = refused_whole(setup, export, Reason("reading-failed", detail=_detail(error)))
    if batch is None:
        return None
    besides = tuple(replace(one, reread=reread) for one in batch.besides)
    batch = replace(batch, reread=reread, besides=besides)
    most = max(setup.farm.one_file.month, MOST_A_BOX * len(setup.farm.boxes)) * (2 if reread else 1)
    why = room_for(engine.store, batch, engine.reach(at), most) if is_large(batch) else None
    if why:
        batch = refused_whole(setup, export, why)
        assert batch is not None
    try:
        engine.absorb(at, batch, partial(inside, batch))
    except Exception as error:
        if not _is_its_own(error):
            raise
        log.exception("storing what %s holds failed; it is set aside", export.name)
        failed(_detail(error))
        batch = refused_whole(setup, export, Reason("storing-failed", detail=_detail(error)))
        assert batch is not None
        engine.absorb(at, batch, partial(inside, batch))
    return batch


def _is_its_own(error: Exception) -> bool:
    """Whether what went wrong is the file's fault, and not the disk's or the store's."""
    return not isinstance(error, OSError | SentinelError | sqlite3.OperationalError) and (
        type(error) is not sqlite3.DatabaseError
    )


def _detail(error: Exception) -> str:
    return cut(f"{type(error).__name__}: {error}" if str(error) else type(error).__name__, LONGEST_DETAIL)
