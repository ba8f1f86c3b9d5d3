"""A farm folder whose feed maps are edited: exports and maps are written to it, and a service looks when told to."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from whole.whole_farm import alert_table

from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.rows import all_rows
from sentinel.flow.model import TickKind
from sentinel.flow.tables import MEASURED, Table
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.runtime.service import Service

FARM = "name: Tinfield\nzone: UTC\nboxes: ['1', '2']\nrounds: ['06:30', '16:30']\ninbox: exports\nsettle: 0 s\n"
RULES = """\
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  urgency: round
  say: "Cow {cow} not milked for {value}"
- rule: yield-drop
  measure: yield_drop_pct
  raise_over: 30 %
  urgency: now
  say: "Cow {cow}: {value} less milk than usual"
- rule: box-quiet
  measure: box_quiet_min
  raise_over: 6 h
  urgency: now
  say: "Box {box}: no cow for {value}"
"""


def at(when: str) -> int:
    """UTC seconds of `2026-05-04 06:00`."""
    return int(datetime.fromisoformat(f"{when}:00+00:00").timestamp())


class HandClock(Clock):
    """A clock that is put by hand."""

    def __init__(self) -> None:
        self.at = 0.0

    def _now(self) -> float:
        return self.at

    def stamps(self) -> float:
        """As files are stamped."""
        return self.at


class MapFarm:
    """The folder, its store, and what was heard."""

    def __init__(self, folder: Path, rules: str = RULES, farm: str = FARM) -> None:
        self.folder = folder
        (folder / "exports").mkdir(parents=True)
        (folder / "feeds").mkdir()
        (folder / "rules").mkdir()
        (folder / "farm.yaml").write_text(farm)
        (folder / "rules" / "rules.yaml").write_text(rules)
        self.store = Store(None)
        self.clock = HandClock()
        self.heard: list[str] = []

    def map(self, name: str, text: str | None) -> None:
        """Write a feed map, or take it out."""
        path = self.folder / "feeds" / f"{name}.yaml"
        if text is None:
            path.unlink()
        else:
            path.write_text(text)

    def export(self, name: str, text: str | None, when: str) -> None:
        """Write an export, stamped so, or take it away."""
        path = self.folder / "exports" / name
        if text is None:
            path.unlink()
            return
        path.write_text(text)
        os.utime(path, (at(when), at(when)))

    def service(self) -> Service:
        """A service on the folder as it is now."""
        setup, secrets, problems = load_setup(self.folder, {})
        assert setup is not None, problems
        return Service(Farmyard(self.folder, setup, secrets, self.store), self.clock, {}, heard=self.hear)

    def hear(self, event: object) -> None:
        """What is said while it works."""
        self.heard.append(str(event))

    def look(self, when: str) -> None:
        """Start sentinel at a moment, have it look once, and end it."""
        self.clock.at = at(when)
        service = self.service()
        service.catch_up(TickKind.START)
        service.monitor.end()

    def rows(self, table: Table) -> list[tuple[object, ...]]:
        """The rows that count, without what is empty in all of them."""
        frame = all_rows(self.store, table).dropna(axis=1, how="all")
        return [tuple(row) for row in frame.itertuples(index=False)]

    def all_rows(self) -> dict[str, str]:
        """Every table's rows that count, as text."""
        return {table.name: all_rows(self.store, table).to_csv(index=False) for table in MEASURED}

    @property
    def alerts(self) -> list[list[str]]:
        """Every alert so far."""
        return alert_table(live_alerts(self.store))

    @property
    def told_again(self) -> list[list[str]]:
        """Every alert as a replay tells it."""
        return alert_table(as_arrived(self.store))

    def log(self, *kinds: str) -> list[dict[str, object]]:
        """What entries of some kinds say."""
        return [dict(one.entry.body) for one in log_entries(self.store) if one.entry.kind in kinds]
