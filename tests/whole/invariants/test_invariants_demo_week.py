"""Three days of the demo lived through export by export: what was planted is told, little else, and again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from whole.planted_subjects import is_about
from whole.whole_farm import SHIPPED, alert_table, lived_through

from sentinel.edges.settings import read_texts
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.flow.model import DAY_S, Problem, State
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import MEASURED
from sentinel.runtime.record.past import why_alert
from sentinel.runtime.record.replay import as_arrived, live_alerts

DEMO = Path(__file__).parents[3] / "demo_feeds"
FIRST_RULES = {
    "late-cow", "late-share", "quarter-conductivity", "box-failures", "cow-failures", "filter-overdue", "chore-due",
    "box-quiet", "feed-quiet", "rows-set-aside", "channel-failing", "cannot-tell", "arm-offset", "slow-attach",
    "herd-failures", "sensor-stuck",
}  # fmt: skip
"""The rules for which the week was planted; those on yield, tank and cells have tests of their own."""

# fmt: off
ALSO = {
    ("chore-due", "chore:wire/east"): "nobody records the wires here; by plan daily, so due after 26 h",
    ("chore-due", "chore:wire/west"): "the same",
    ("chore-due", "chore:wire/north"): "the same",
    ("cow-failures", "cow:730"): "three ordinary failures within a day, by chance",
    ("cow-failures", "cow:570"): "the same",
    ("cow-failures", "cow:161"): "the same",
}
# fmt: on
"""What is told besides, and why that is right."""


def seconds(text: str) -> int:
    """UTC seconds of an RFC 3339 text."""
    return int(datetime.fromisoformat(text).timestamp())


DAYS = 3
"""Of the week; with all seven this takes more than a minute."""


def first_rules(texts: Mapping[str, str]) -> tuple[Setup | None, list[Problem]]:
    """The demo farm with the first rules only."""
    setup, problems = read_setup(texts)
    assert setup is not None, problems
    return replace(setup, rules={n: r for n, r in setup.rules.items() if n in FIRST_RULES}), problems


@pytest.fixture(scope="module")
def days() -> Store:
    """The store after these days, every export read when it arrived, woken at every due moment between."""
    texts = read_texts(DEMO) | {f"rules/{p.name}": p.read_text(encoding="utf-8") for p in SHIPPED.glob("*.yaml")}
    setup, _ = first_rules(texts)
    assert setup is not None
    arrivals = [line.split(",") for line in (DEMO / "arrivals.csv").read_text().splitlines()[1:]]
    order = sorted((seconds(at), name) for name, at in arrivals)
    end = order[0][0] + DAYS * DAY_S
    files = [(at, name, (DEMO / "exports" / name).read_bytes()) for at, name in order if at < end]
    return lived_through(setup, texts, files)


@pytest.fixture(scope="module")
def truth() -> list[dict[str, Any]]:
    """What was planted and could be told within these days."""
    told = json.loads((DEMO / "truth.json").read_text())
    end = seconds(told["from"]) + DAYS * DAY_S
    return [item for item in told["items"] if seconds(item["until"] or told["until"]) < end]


@pytest.mark.timeout(600)
def test_everything_planted_is_told(days: Store, truth: list[dict[str, Any]]) -> None:
    """Each planted thing for which there is a rule: by that rule, on that subject, while it lasted or soon after."""
    raised = live_alerts(days)
    missing = []
    planted = [
        item for item in truth if item["figures"].get("how") != "by itself"
    ]  # who was back before an export told
    for item in planted:
        for rule in set(item["rules"]) & FIRST_RULES:
            begin, end = seconds(item["from"]), seconds(item["until"]) + 3 * 3600
            told = [a for a in raised if a.rule == rule and is_about(a.subject, item["subject"])]
            if not any(begin <= a.raised_at <= end for a in told):
                missing.append((rule, item["subject"], item["kind"]))
    assert missing == []


@pytest.mark.timeout(600)
def test_little_else_is_told(days: Store, truth: list[dict[str, Any]]) -> None:
    """Whatever is raised was planted, or is listed above with its reason."""
    others = {(a.rule, a.subject) for a in live_alerts(days)} - ALSO.keys()
    planted = [(rule, item["subject"]) for item in truth for rule in item["rules"]]
    assert {one for one in others if not any(one[0] == rule and is_about(one[1], it) for rule, it in planted)} == set()


@pytest.mark.timeout(600)
def test_no_cow_is_late_because_an_export_was(days: Store, truth: list[dict[str, Any]]) -> None:
    """While the milkings' export was missing the feed was told of, and no cow."""
    [stopped] = [item for item in truth if item["kind"] == "export-stopped"]
    begin, end = seconds(stopped["from"]), seconds(stopped["until"])
    during = [a for a in live_alerts(days) if begin < a.raised_at < end]
    assert [(a.rule, a.subject) for a in during] == [("feed-quiet", "feed:milkings")]


@pytest.mark.timeout(600)
def test_the_days_told_again_are_the_same_to_the_second(days: Store) -> None:
    """From what was known when, without the files."""
    assert alert_table(as_arrived(days, read=first_rules)) == alert_table(live_alerts(days))
    days.verify()


@pytest.mark.timeout(600)
def test_every_alert_of_these_days_is_told_why(days: Store) -> None:
    """Put together again from the rows known at its tick each holds with the value in the log, and names its rows.

    The rows of exports come with their file and line; `cannot-tell` and `channel-failing` rest on none.
    """
    found = [why_alert(days, alert.id, first_rules) for alert in all_alerts(days)]

    assert len(found) > 10
    assert [
        (one.rule, one.subject, one.told_value, one.seen and one.seen.value) for one in found if not one.agrees
    ] == []
    assert [one.rule for one in found if one.seen is None or one.seen.state != State.HOLDS] == []
    measured = {table.name for table in MEASURED}
    rows = [row for one in found for row in one.rows if row.table in measured]
    assert len(rows) > 50
    assert [row for row in rows if not row.stands or not all(line for _, line in row.stands)] == []
