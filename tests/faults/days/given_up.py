"""What became of notices that a channel did not take in time: which of them anybody still ought to have been told of.

A notice is given up after two hours (`give_up_after` in farm.yaml), or after ten minutes if all that it tells of is
settled. What it told of is owed: none of that is lost if it is over or answered, or is in a notice that arrived later.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.flow.model import Alert

GIVE_UP_S = 2 * 3600


@dataclass(slots=True)
class GivenUp:
    """Notices that were lost to somebody, each in a line, and how many were not, by what became of them."""

    lost: list[str] = field(default_factory=list)
    kept: Counter[str] = field(default_factory=Counter)


def given_up(store: Store) -> GivenUp:
    """Every delivery that did not arrive, by what became of what it told of."""
    alerts = {one.id: one for one in all_alerts(store)}
    ends = fetch(
        store,
        "select d.notice, d.channel, d.outcome, d.at, d.detail, n.at as written_at, n.kind, n.alerts from deliveries d "
        "join notices n on n.id = d.notice order by d.notice",
    )
    arrived = [(row["channel"], row["at"], set(json.loads(row["alerts"]))) for row in ends if row[2] == "delivered"]
    found = GivenUp()
    for row in ends:
        if row["outcome"] == "delivered":
            continue
        about = [alerts[number] for number in json.loads(row["alerts"])]
        later = [(at, named) for channel, at, named in arrived if channel == row["channel"] and at >= (row["at"] or 0)]
        back_at = min((at for at, _ in later), default=None)
        owed = [one for one in about if not _settled(one, back_at) and not any(one.id in named for _, named in later)]
        if row["outcome"] != "gave_up" or owed or row["at"] - row["written_at"] < (600 if about else GIVE_UP_S):
            named = ", ".join(f"{one.rule} {one.subject}" for one in owed)
            found.lost.append(f"notice {row['notice']} ({row['kind']}) by {row['channel']}: {row['outcome']} {named}")
        elif not about:
            found.kept["of nothing that lasts"] += 1
        else:
            found.kept["settled" if all(_settled(one, back_at) for one in about) else "told later"] += 1
    return found


def _settled(alert: Alert, at: int | None) -> bool:
    """Whether it was over or answered by the moment at which its channel worked again."""
    ends = [end for end in (alert.over_at, alert.answered_at) if end is not None]
    return bool(ends) and (at is None or min(ends) <= at)
