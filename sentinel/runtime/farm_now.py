"""The rows of a farm as they are known now, read anew from its store: for a command that looks and decides nothing."""

from __future__ import annotations

from dataclasses import replace

from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.flow.setup import Setup, farm_facts
from sentinel.flow.tables import Tables
from sentinel.runtime.engine import Engine
from sentinel.runtime.known.feed_files import ShownByFiles
from sentinel.runtime.known.feed_paces import FeedPaces
from sentinel.runtime.known.window import Window


def tables_now(store: Store, setup: Setup, at: int) -> Tables:
    """The rows that a service at work would have in memory; nothing is written."""
    window = Window(store, Engine(store, setup, tell=False).reach(at))
    watched_since = int(store.meta("watched_since") or at)
    known, files = FeedPaces(store), ShownByFiles(store).at(at)
    farm = farm_facts(setup, feed_state(store), watched_since, {}, known.at(at), files, known.lags)
    return replace(window.tables, farm=farm)
