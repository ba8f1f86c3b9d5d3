"""The cows that an alert lists, as its page and theirs show them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sentinel.flow.alerts.listed import listed, to_look_at
from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.measures.cells.recording_high_cows import GROUPS, HEAVIEST
from sentinel.flow.model import Alert, Subject
from sentinel.flow.tables import Tables


@dataclass(frozen=True, slots=True)
class ListedCow:
    """One cow: her counts in thousands per ml, her milk in kg a day, her part of the tank's cells in %.

    None where one is not known. `status`: what the herd list says of her now, empty while she is milked.
    """

    cow: str
    state: str
    cells_k_ml: float
    previous: float | None
    score: float
    milk_kg: float | None
    share_pct: float | None
    tested_at: int
    status: str


@dataclass(frozen=True, slots=True)
class ListedCows:
    """The cows over the limit by group (`new`, `first`, `again`, `still`), and those that bring most of the cells."""

    groups: tuple[tuple[str, tuple[ListedCow, ...]], ...]
    heaviest: tuple[ListedCow, ...]


def listed_cows(alert: Alert, tables: Tables, at: int) -> ListedCows | None:
    """The cows that an alert lists; None if it lists none."""
    rows = listed(alert.facts)
    if not rows:
        return None
    status = _status(tables, at)
    cows = [ListedCow(status=status.get(one["cow"], ""), **_figures(one)) for one in rows]
    groups = ((word, tuple(cow for cow in cows if cow.state == word)) for word, _, _ in GROUPS)
    heaviest = sorted((cow for cow in cows if cow.share_pct), key=lambda cow: -(cow.share_pct or 0.0))
    return ListedCows(tuple(group for group in groups if group[1]), tuple(heaviest[:HEAVIEST]))


def _figures(one: Mapping[str, Any]) -> dict[str, Any]:
    return {name: one[name] for name in ListedCow.__dataclass_fields__ if name != "status"}


def _status(tables: Tables, at: int) -> dict[str, str]:
    """The status of each cow now that is not milked any more, or whose milk is withheld."""
    changes = herd_changes(tables)
    known = changes[changes["from"].to_numpy(np.int64) <= at]
    latest = dict(zip(known["cow"], known["status"], strict=True))
    return {cow: status for cow, status in latest.items() if status and status != "milking"}


@dataclass(frozen=True, slots=True)
class OnList:
    """That a cow is on the list of an alert which stands: its number, and what it says of her."""

    alert: int
    words: str


def on_lists(subject: Subject, alerts: Iterable[Alert]) -> tuple[OnList, ...]:
    """The standing alerts that are no alerts on a cow, but list her."""
    return tuple(
        OnList(alert.id, str(one["said"]))
        for alert in alerts
        if alert.standing
        for one in to_look_at(alert.facts)
        if f"cow:{one['cow']}" == subject
    )
