"""The round's page, to be ticked on the phone or on paper: its worklist."""

from __future__ import annotations

from sentinel.flow.schedule.worklist import Worklist, worklist
from sentinel.flow.views.parts.snapshot import Snapshot


def round_page(snapshot: Snapshot) -> Worklist:
    """The list of the round that is nearest."""
    return worklist(snapshot.alerts, snapshot.tables, snapshot.rules, snapshot.farm, snapshot.at)
