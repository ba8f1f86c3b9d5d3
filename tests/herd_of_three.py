"""Three cows for tests of a cow's page: one with an ill quarter, one in health, one of whom little is told."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from page_farm import AT, FACTS, frame

from sentinel.edges.settings import shipped
from sentinel.flow.model import DAY_S, HOUR_S, Alert
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tables import COW_TESTS, COWS, TANK, VISITS, Tables, wide

EVERY_S = 8 * HOUR_S


def milkings(cow: str, rising: bool) -> Iterator[dict[str, Any]]:
    """Five weeks of milkings every eight hours; in the last two days the right rear quarter rises and gives less."""
    for n, start in enumerate(range(AT - 35 * DAY_S, AT - HOUR_S, EVERY_S)):
        ill = max(0, (start - (AT - 2 * DAY_S)) // EVERY_S + 1) if rising else 0
        breath = 0.04 * math.sin(n)
        level = (4.8 + breath, 4.7 + breath, 4.9 + breath, 4.8 + breath + 0.35 * ill)
        kg = (2.4, 2.3, 2.8, max(0.8, 2.6 - 0.35 * ill))
        whole = {"cow": cow, "start": start, "box": "1" if n % 2 else "2", "outcome": "milked", "milk_kg": sum(kg)}
        yield {
            **whole,
            **dict(zip(wide("conductivity_mS_cm"), level, strict=True)),
            **dict(zip(wide("milk_kg"), kg, strict=True)),
        }
        if n % 3 == 0:
            yield {"cow": cow, "start": start + 3 * HOUR_S, "box": "1", "outcome": "refused"}


def herd() -> Tables:
    """Cow 217 with a quarter that rises and her cells high, cow 218 in health, and cow 219 of whom little is told."""
    extra = [
        {"cow": "217", "start": AT - 9 * DAY_S + 1, "box": "1", "outcome": "failed"},
        {"cow": "217", "start": AT - 3 * DAY_S + 1, "box": "1", "outcome": "incomplete", "milk_kg": 3.0},
        {"cow": "217", "start": AT - 2 * HOUR_S, "box": "1", "outcome": "refused"},
        {"cow": "219", "start": AT - 3 * DAY_S, "box": "1", "outcome": "milked"},
    ]
    listed = {"from": AT - 60 * DAY_S, "group": "late lactation", "lactation": 3.0, "milkings_allowed": 3.0}
    tests = [("217", 90, 64), ("217", 120, 34), ("217", 410, 4), ("218", 60, 34), ("218", 55, 4), ("219", None, 4)]
    return Tables(
        visits=frame(VISITS, *milkings("217", True), *milkings("218", False), *extra),
        cows=frame(
            COWS,
            *(
                {**listed, "cow": cow, "status": "milking", "calved_on": AT - 180 * DAY_S}
                for cow in ("217", "218", "219")
            ),
            {**listed, "cow": "217", "from": AT - DAY_S, "status": "withheld"},
        ),
        cow_tests=frame(
            COW_TESTS, *({"cow": c, "at": AT - d * DAY_S, "cells_k_ml": k, "milk_kg": 30.0} for c, k, d in tests)
        ),
        tank=frame(TANK, {"tank": "1", "at": AT - 5400, "temperature_C": 4.1, "litres": 900.0, "cells_k_ml": 210.0}),
        farm=FACTS,
    )


RAISED = Alert(
    id=17,
    rule="quarter-conductivity",
    subject="quarter:217/RR",
    raised_at=AT - 30 * HOUR_S,
    since=AT - 31 * HOUR_S,
    urgency="now",
    text="Cow 217, right rear: conductivity 24 % above its usual: 7.3 of 5.0 points",
    answered_at=AT - 24 * HOUR_S,
    answered_by="Marit",
    finding="clots or flakes",
)


@cache
def rules_that_ship() -> Mapping[str, Rule]:
    """The rules that ship, by name; reading their YAML takes seconds."""
    texts = [(path.read_text(encoding="utf-8"), path.name) for path in sorted(shipped("rules").glob("*.yaml"))]
    return {rule.name: rule for text, name in texts for rule in load_rules(text, name)[0]}
