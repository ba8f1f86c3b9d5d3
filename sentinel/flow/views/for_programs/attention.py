"""Alerts about animals as attention events of the ICAR ADE standard, for a herd program that reads them.

Source: ICAR ADE 1.4, IcarAttentionEventResource, as modelled by ICAR-pydantic 1.4. It is an event of an animal, so
alerts on boxes, tanks, chores, feeds and the whole herd have no place in it; one on a milk recording is an event of
each cow that it lists. Its causes hold no late cow, no failed attachment, no conductivity and no cell count; what
comes near (`Mastitis`, `Ketosis`, `Lameness`) is a diagnosis, which an alert never is. So every cause is `Other`, and
what was seen is in `remark`, as the alert says it. `severity` is a scale of disease and `deviceAttentionScore` a
score of one maker: neither is given. `Critical` is never used.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from sentinel.flow.alerts.listed import to_look_at
from sentinel.flow.model import Alert, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.views.parts.records import rfc3339

CATEGORIES: Mapping[str, str] = {
    "udder_evidence": "Health",
    "conductivity_rise_pct": "Health",
    "cow_cells_k_ml": "Health",
    "recording_high_cows": "Health",
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


def attention_events(alert: Alert, rules: Mapping[str, Rule], scheme: str, at: int) -> list[dict[str, Any]]:
    """One alert as attention events known at `at`: one of its cow, or of each that it lists; none without a cow.

    `scheme` is that of the farm's cow numbers, as its exports have it. A cow's event has the same number as long as she
    is on the list, and what is said of her.
    """
    if kind_of(alert.subject) in ("cow", "quarter"):
        cow = name_of(alert.subject).partition("/")[0]
        return [_event(alert, rules.get(alert.rule), (scheme, cow), (f"{alert.id}", alert.text), at)]
    return [
        _event(alert, rules.get(alert.rule), (scheme, one["cow"]), (f"{alert.id}-{one['cow']}", one["said"]), at)
        for one in to_look_at(alert.facts)
    ]


def _event(alert: Alert, rule: Rule | None, animal: tuple[str, str], said: tuple[str, str], at: int) -> dict[str, Any]:
    """An event of an animal (the scheme and her number in it), with its number and what is said."""
    (scheme, cow), (number, remark) = animal, said
    event: dict[str, Any] = {
        "resourceType": RESOURCE,
        "id": number,
        "meta": {"source": scheme, "sourceId": number, "modified": rfc3339(at)},
        "animal": {"id": cow, "scheme": scheme},
        "eventDateTime": rfc3339(alert.raised_at),
        "category": CATEGORIES.get(rule.measure, "Other") if rule else "Other",
        "causes": ["Other"],
        "priority": PRIORITIES.get(alert.urgency, "Normal"),
        "remark": remark,
    }
    if alert.over_at is not None:
        event["alertEndDateTime"] = rfc3339(alert.over_at)
    return event


def attention_collection(
    alerts: Iterable[Alert], rules: Mapping[str, Rule], scheme: str, at: int
) -> tuple[dict[str, Any], list[Alert]]:
    """The alerts about animals as a collection of attention events, and those that have no place in it."""
    events: list[dict[str, Any]] = []
    others = []
    for alert in alerts:
        of_alert = attention_events(alert, rules, scheme, at)
        events += of_alert
        if not of_alert:
            others.append(alert)
    return {"view": {"totalItems": len(events), "totalPages": 1, "currentPage": 1}, "member": events}, others
