"""Why the log says that something was set aside or given up, from where the store keeps it as a reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.reasons import Reason, from_json

KINDS = ("set-aside", "gave-up")

SET_ASIDE = (
    "select s.reason from files f join set_aside s on s.file_id = f.id "
    "where f.file = ? and f.at = ? and s.line = ? and s.reason <> '' order by s.id"
)
GIVEN_UP = "select detail from deliveries where notice = ? and channel = ?"


def with_reasons(store: Store, log: Iterable[Logged]) -> list[Logged]:
    """Entries of the log, those about rows set aside and notices given up with the reason that they say in English."""
    return [replace(one, reason=_reason(store, one)) if one.entry.kind in KINDS else one for one in log]


def _reason(store: Store, logged: Logged) -> Reason | None:
    """The reason of an entry; None if it has none, or the store has none that says the same."""
    entry, body = logged.entry, logged.entry.body
    if entry.kind == "set-aside":
        english = body.get("reason")
        rows = fetch(store, SET_ASIDE, (body.get("file"), entry.at, body.get("line")))
    else:
        english = body.get("detail")
        rows = fetch(store, GIVEN_UP, (body.get("notice"), body.get("channel")))
    reasons = (from_json(row[0]) for row in rows)
    return next((reason for reason in reasons if reason is not None and str(reason) == english), None)
