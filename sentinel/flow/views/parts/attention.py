"""Alerts about animals as attention events of the ICAR ADE standard, for a herd program that reads them.

Source: ICAR ADE 1.4, IcarAttentionEventResource, as modelled by ICAR-pydantic 1.4. It is an event of an animal, so
alerts on boxes, tanks, chores, feeds and the whole herd have no place in it. Its causes hold no late cow, no failed
attachment, no conductivity and no cell count; what comes near (`Mastitis`, `Ketosis`, `Lameness`) is a diagnosis, which
an alert never is. So every cause is `Other`, and what was seen is in `remark`, as the alert says it. `severity` is a
scale of disease and `deviceAttentionScore` a score of one maker: neither is given. `Critical` is never used.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from sentinel.flow.model import Alert, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.views.parts.records import rfc3339

CATEGORIES: Mapping[str, str] = {
    "udder_evidence": "Health",
    "conductivity_rise_pct": "Health",
    "cow_cells_k_ml": "Health",
    "yield_drop_pct": "Health",
    "stuck_readings": "DeviceIssue",
}
"""What some measures' alerts are about; those of all others are about the milking itself, for which it has no word."""

PRIORITIES: Mapping[str, str] = {"now": "Urgent", "round": "Normal", "log": "Informational"}

RESOURCE = "icarAttentionEventResource"


def own_scheme(farm: str) -> str:
    """A scheme of animal numbers for a farm that names none, in reverse domain format.

    >>> own_scheme("Hof am Bach 2")
    'local.hof-am-bach-2'
    """
    name = re.sub(r"[^a-z0-9]+", "-", farm.lower()).strip("-")
    return f"local.{name or 'farm'}"


def attention_event(alert: Alert, rules: Mapping[str, Rule], scheme: str, at: int) -> dict[str, Any] | None:
    """One alert as an attention event known at `at`; None if it is not about an animal.

    `scheme` is that of the farm's cow numbers, as its exports have it.
    """
    if kind_of(alert.subject) not in ("cow", "quarter"):
        return None
    rule = rules.get(alert.rule)
    event: dict[str, Any] = {
        "resourceType": RESOURCE,
        "id": f"{alert.id}",
        "meta": {"source": scheme, "sourceId": f"{alert.id}", "modified": rfc3339(at)},
        "animal": {"id": name_of(alert.subject).partition("/")[0], "scheme": scheme},
        "eventDateTime": rfc3339(alert.raised_at),
        "category": CATEGORIES.get(rule.measure, "Other") if rule else "Other",
        "causes": ["Other"],
        "priority": PRIORITIES.get(alert.urgency, "Normal"),
        "remark": alert.text,
    }
    if alert.over_at is not None:
        event["alertEndDateTime"] = rfc3339(alert.over_at)
    return event


def attention_collection(
    alerts: Iterable[Alert], rules: Mapping[str, Rule], scheme: str, at: int
) -> tuple[dict[str, Any], list[Alert]]:
    """The alerts about animals as a collection of attention events, and those that have no place in it."""
    events, others = [], []
    for alert in alerts:
        event = attention_event(alert, rules, scheme, at)
        if event is None:
            others.append(alert)
        else:
            events.append(event)
    return {"view": {"totalItems": len(events), "totalPages": 1, "currentPage": 1}, "member": events}, others
