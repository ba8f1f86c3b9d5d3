"""A year of a simulated herd, as exports of one day each and as a farm's store; made once for a whole run."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sentinel.edges.store import Store
from sentinel.edges.store.exports.ingest import ingest
from sentinel.flow.model import DAY_S, Batch, Export, Rows
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import BOX_LOG, COW_TESTS, COWS, TANK, Table, Tables
from sentinel.runtime.ticks import batch_of
from sentinel.simulator import HerdSpec, simulate
from sentinel.simulator.exports.arrivals import csv_name
from sentinel.simulator.exports.farm_folder import farm_texts
from sentinel.simulator.exports.visit_list import csv_file, csv_rows

RULES = Path(__file__).parents[2] / "rules"
SEED = 1
BOX_FOR = 60
"""Cows a box."""

OTHERS = ((BOX_LOG, "boxlog"), (COWS, "herd"), (TANK, "tank"), (COW_TESTS, "recording"))


@dataclass(frozen=True, slots=True)
class Year:
    """A herd's rows and farm; `exports` are its visits as files of one day each, in order of time.

    Visits on which a cow was only sent on are left out: boxes that speak ICAR ADE do not tell them, and without them
    a year of 300 cows has about 300,000 visits and 1.2 million quarter readings.
    """

    tables: Tables
    setup: Setup
    begin: int
    until: int
    exports: tuple[Export, ...]

    @property
    def quarters(self) -> int:
        """How many quarter readings it has."""
        return int(self.tables.visits["lf_conductivity_mS_cm"].notna().sum()) * 4

    @property
    def days(self) -> range:
        """The moment at which each day of it ends."""
        return range(self.begin + DAY_S, self.until + DAY_S, DAY_S)


def make_year(cows: int, days: int) -> Year:
    """The herd of these cows and days."""
    herd = simulate(HerdSpec(cows, max(2, -(-cows // BOX_FOR)), days, SEED))
    visits = herd.tables.visits
    visits = visits[visits["outcome"] != "refused"].reset_index(drop=True)
    texts = dict(farm_texts(herd))
    texts |= {f"rules/{path.name}": path.read_text(encoding="utf-8") for path in sorted(RULES.glob("*.yaml"))}
    setup, problems = read_setup(texts)
    assert setup is not None, problems
    begin, until = herd.calendar.begin, herd.calendar.until
    local = herd.calendar.local
    lines, starts = csv_rows(visits, local), visits["start"].to_numpy(np.int64)
    exports = []
    for since, stamp in zip(range(begin, until, DAY_S), range(begin + DAY_S, until + DAY_S, DAY_S), strict=True):
        first, last = np.searchsorted(starts, (since, stamp))
        exports.append(Export(csv_name(stamp, local), csv_file(lines[first:last]), stamp, 0))
    return Year(replace(herd.tables, visits=visits), setup, begin, until, tuple(exports))


def visit_batches(year: Year) -> Iterator[Batch]:
    """The year's visits, read from the exports by the farm's map."""
    for export in year.exports:
        batch = batch_of(year.setup, export)
        assert batch is not None
        assert all(row.kept for row in batch.set_aside)  # an odd cell of a sensor now and then, in a row that is kept
        yield batch


def other_batches(year: Year) -> Iterator[Batch]:
    """What else the farm wrote, a batch a day."""
    for table, feed in OTHERS:
        frame = getattr(year.tables, table.name)
        at = frame[table.happened].to_numpy(np.int64)
        frame = frame.astype(object).where(frame.notna(), None)
        for stamp in year.days:
            since = stamp - DAY_S if stamp > year.days[0] else 0
            rows = frame[(at >= since) & (at < stamp)]
            yield Batch(feed, f"{feed}_{stamp}", (_rows(table, rows),), (), stamp)


def _rows(table: Table, frame: object) -> Rows:
    values = tuple(frame[list(table.names)].itertuples(index=False, name=None))  # type: ignore[index]
    return Rows(table.name, table.names, tuple(tuple(_plain(v) for v in row) for row in values), (0,) * len(values))


def _plain(value: object) -> object:
    """A value as an export's reader gives it."""
    return value.item() if isinstance(value, np.generic) else value


def fill(path: Path, year: Year) -> None:
    """Make the farm's store of the whole year, each export as known when it was whole."""
    store = Store(path)
    store.put_meta("watched_since", str(year.begin))
    with store.writing():
        for batch in (*other_batches(year), *visit_batches(year)):
            ingest(store, batch, (batch.complete_until or year.until) + 60)
    store.close()
