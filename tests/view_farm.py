"""A small farm for tests of what pages show: two boxes, two rounds, rules on cows, chores and feeds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from text_tables import DAY_0, moment, table

from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.settings.farm import Farm, load_farm
from sentinel.flow.tables import FarmFacts, FeedFacts, Tables
from sentinel.flow.views.parts.snapshot import Snapshot

RULES = (
    Rule(
        name="late-cow",
        measure="hours_since_milking",
        per="cow",
        unit="h",
        raise_over=14,
        where={"status": ("milking",)},
        classes=(RuleClass(where={"milkings_allowed": (1.0,)}, raise_over=26),),
    ),
    Rule(
        name="feed-quiet",
        measure="feed_quiet_min",
        per="feed",
        unit="min",
        raise_over=90,
        classes=(RuleClass(where={"pace": ("daily",)}, raise_over=26 * 60),),
    ),
    Rule(name="filter-overdue", measure="hours_since_filter", per="box", unit="h", raise_over=9),
    Rule(
        name="chore-due",
        measure="hours_since_chore",
        per="chore",
        unit="h",
        raise_over=26,
        classes=(RuleClass(where={"chore": ("wire",)}, raise_over=15),),
    ),
)
FARM = """\
name: x
zone: UTC
boxes: [1, 2]
rounds: ["06:30", "16:30"]
chores:
  filter: {places: boxes, event: filter_changed}
  arm: {places: boxes, event: arm_calibrated}
  wire: {places: [east, west]}
"""
GRAZING = """\
grazing:
  - {name: east, from: "07:00", to: "13:00", move_wire_before: "06:45"}
  - {name: west, from: "13:00", to: "19:00", move_wire_before: "12:30"}
"""
VISITS = """
cow  start     box  outcome     milk_kg  attach_s  attempts  lf_conductivity_mS_cm  rf_conductivity_mS_cm  lr_conductivity_mS_cm  rr_conductivity_mS_cm  lf_milk_kg  lf_kicked_off
217  -20d08:00  1    milked      9        60        1         4.5                    4.6                    4.4                    4.5                    2.2         0
217  06:00     1    milked      12       60        1         4.5                    4.6                    4.4                    4.5                    3           0
217  16:00     2    failed      -        -         3         -                      -                      -                      -                      -           -
217  1d02:00   2    incomplete  5        80        2         6.0                    4.6                    -                      4.8                    1           1
217  1d05:00   1    milked      11       70        1         6.2                    4.6                    4.4                    4.5                    2.5         0
217  1d07:00   1    refused     -        -         -         -                      -                      -                      -                      -           -
9    1d08:00   1    milked      10       50        1         -                      -                      -                      -                      -           -
"""  # noqa: E501
COWS = f"""
cow  from   group  lactation  calved_on         milkings_allowed  status
217  00:00  older  3          {DAY_0 - 30 * DAY_S}        3                 milking
"""
TANK = """
tank  at         temperature_C  litres  cells_k_ml  bacteria_k_ml
1     -200d08:00  4              900     300         9
1     -50d08:00  -              -       210         12
1     1d06:00    4.1            1200    -           -
1     1d07:00    5.2            -       190         -
2     1d07:00    9.0            -       -           -
"""
AT = moment("1d12:00")
"""Noon of the day after the first."""


def the_farm(more: str = "") -> Farm:
    """Two boxes, two rounds, three chores; `more` is added to its farm.yaml."""
    farm, problems = load_farm(FARM + more, "farm.yaml")
    assert farm is not None, problems
    return farm


def the_rules() -> dict[str, Rule]:
    """Rules on cows, feeds, filters and chores."""
    return {rule.name: rule for rule in RULES}


def alert(number: int, subject: str, urgency: str = "round", since: str = "1d08:00", **more: Any) -> Alert:
    """A standing alert of `late-cow`, however odd its subject, raised at `since`."""
    start = moment(since)
    return Alert(number, more.pop("rule", "late-cow"), subject, start, start, urgency, f"about {subject}", **more)


def snapshot(alerts: Sequence[Alert] = (), feeds: Sequence[FeedFacts] = (), tables: Tables | None = None) -> Snapshot:
    """The farm at noon, with the rows of `tables` or with none; `feeds` are in place of theirs."""
    tables = Tables() if tables is None else tables
    tables = replace(tables, farm=replace(tables.farm, feeds=tuple(feeds) or tables.farm.feeds))
    return Snapshot(AT, the_farm(), ("Marit",), the_rules(), tables, tuple(alerts))


def rows(known: str = "1d12:00", since: str = "06:00", grazing: str = "", **tables: str) -> Tables:
    """Tables from text tables; every table's feed is known until `known`, and the farm watched since `since`."""
    feeds = tuple(FeedFacts(name, (name,), "hourly", moment(known)) for name in ("visits", "box_log"))
    farm = the_farm(grazing)
    facts = FarmFacts(farm.boxes, farm.chores, feeds, moment(since), zone=farm.zone)
    return Tables(**{name: table(name, text) for name, text in tables.items()}, farm=facts)
