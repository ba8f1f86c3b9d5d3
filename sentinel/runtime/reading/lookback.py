"""How far back decisions look at what an export holds, told by its name: what is older can be read later."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import inf

from sentinel.flow.feeds import ICAR
from sentinel.flow.setup import Setup
from sentinel.flow.tables import VISITS, table_named

NAMES = 1_000
"""So many names are remembered with what they say: matching one takes a few microseconds."""


def kept_by_name(setup: Setup) -> Callable[[str], tuple[str, float] | None]:
    """What says of a file name which feed it is and for how many seconds its rows count; None if it has no feed.

    The newest row of a herd list, a box's log or a chore counts however old it is (`inf`).
    """

    @lru_cache(NAMES)
    def kept(name: str) -> tuple[str, float] | None:
        feeds = setup.maps_for(name)
        if feeds:
            tables = [table_named(table_named(one).stored_as) for feed in feeds for one in feed.table_names]
            kept_s = [inf if table.latest else table.kept_s for table in tables]
            return feeds[0].feed, max(kept_s, default=inf)
        if ICAR not in setup.farm.not_used and name.lower().endswith(".json"):
            return ICAR, VISITS.kept_s
        return None

    return kept
