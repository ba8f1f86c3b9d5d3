"""`alerts`: what stands, to people and to programs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cli.typed import sentinel

from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import save_alerts, standing_alerts


def test_alerts_say_what_they_were_raised_with_where_it_differs(told: Path) -> None:
    """Beside the sentence, in words and for programs; of one that has eased also that."""
    store = Store(told / STORE_NAME)
    [alert] = [one for one in standing_alerts(store) if one.rule == "box-failures"]
    moved = {
        "raised_value": 7.0,
        "worst_value": 9.0,
        "course": "raised at 7 failures, now 6 failures",
        "eased": "7 failures",
    }
    save_alerts(store, [replace(alert, **moved)])
    store.close()
    said, [record] = sentinel("alerts", told), sentinel("alerts", told, "--json").records

    assert "raised at 7 failures, now 6 failures; was urgent, has eased" in said.words
    assert (record["raised_value"], record["worst_value"], record["eased"]) == (7.0, 9.0, True)


def test_alerts_are_shown_to_people(told: Path) -> None:
    """The table names the box; the feed's known-until is told; without alerts it says so."""
    said = sentinel("alerts", told)

    assert "Box 2: 6 failures" in said.words
    assert "Known until: milkings" in said.words
