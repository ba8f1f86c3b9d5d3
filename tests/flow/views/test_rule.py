"""One rule in words: when it tells, and what came of it lately."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from view_farm import AT, alert, the_rules

from sentinel.flow.alerts.chain import START, chained
from sentinel.flow.model import DAY_S, Entry
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.views.rule import in_short, rule_page
from sentinel.flow.views.rules import rule_shown

SHIPPED = Path(__file__).parents[3] / "rules"


def bounds(unit: str, **given: float | str) -> tuple[str, str, str, str]:
    """When a rule with these bounds tells: on the round, at once, over, only in the log."""
    rule = Rule(name="r", measure="udder_evidence", per="quarter", unit=unit, **given)
    [case] = rule_page(rule, (), (), AT).bounds
    return case.told, case.rings, case.over, case.kept


@pytest.mark.parametrize(
    ("unit", "given", "told"),
    [
        ("points", {"raise_over": 4, "now_over": 6, "clear_under": 3},
         ("above 4 points", "above 6 points", "3 points or less", "")),
        ("h", {"raise_over": 14, "now_over": 18}, ("above 14 h", "above 18 h", "14 h or less", "")),
        ("min", {"raise_over": 90, "urgency": "now"}, ("", "above 90 min", "90 min or less", "")),
        ("failures", {"raise_over": 2}, ("from 3 failures on", "", "2 failures or less", "")),
        ("ratio", {"raise_under": 1.5, "clear_over": 1.7}, ("below 1.5 ×", "", "1.7 × or more", "")),
        ("%", {"raise_under": 80, "urgency": "log"}, ("", "", "80 % or more", "below 80 %")),
        ("months", {"raise_over": 36, "clear_under": 18, "urgency": "now"},
         ("", "luck alone: at most once in 36 months", "luck alone: once in 18 months or more often", "")),
    ],
)  # fmt: skip
def test_a_rule_says_past_which_figures_it_tells_rings_and_is_over(unit, given, told) -> None:
    """With their units; counts from the next whole one on; what cannot wait from the start is on no list first."""
    assert bounds(unit, **given) == told


def test_where_classes_differ_each_has_its_own() -> None:
    """A cow on one milking a day has hours of her own."""
    cases = rule_page(the_rules()["late-cow"], (), (), AT).bounds

    assert [(case.where, case.told) for case in cases] == [
        ((("milkings_allowed", ("1",)),), "above 26 h"),
        ((), "above 14 h"),
    ]


def test_a_rule_is_told_by_what_it_said_last_or_would_say() -> None:
    """Its newest alert with its number; of a rule that never raised one, one of its own examples."""
    rules, problems = load_rules((SHIPPED / "cows.yaml").read_text(encoding="utf-8"), "rules/cows.yaml")
    [late] = [rule for rule in rules if rule.name == "late-cow"]
    older, newer = (replace(alert(n, f"cow:{n}"), raised_at=AT - 100 + n, text=f"Cow {n} is late") for n in (1, 2))
    raised, never = rule_page(late, [newer, older], (), AT), rule_page(late, (), (), AT)

    assert problems == []
    assert (raised.reads, raised.alert) == ("Cow 2 is late", 2)
    assert (never.reads, never.alert) == ("Cow 217 not milked for 14 h 25 min (bound 14 h)", None)


def test_in_short_a_rule_says_the_figures_of_most_of_its_subjects() -> None:
    """Those of the case without a condition; nothing for what it never does."""
    rule = Rule(name="r", measure="udder_evidence", per="quarter", unit="points", raise_over=4, now_over=6)
    counted = Rule(name="r", measure="undelivered_notices", per="channel", unit="notices", raise_over=0, urgency="now")

    assert (
        in_short(rule_shown(rule))
        == "told on the round: above 4 points; rings at once: above 6 points; over at: 4 points or less"
    )
    assert in_short(rule_shown(counted)) == "rings at once: from 1 notice on; over at: 0 notices"


def test_the_last_month_is_counted() -> None:
    """Raised or come again in it, rung, answered, and answered with nothing found; older ones are left out."""
    alerts = [
        alert(1, "cow:1"),
        alert(2, "cow:2", answered_at=AT, finding="nothing found"),
        alert(3, "cow:3", answered_at=AT, finding="brought up"),
        replace(alert(4, "cow:4"), raised_at=AT - 40 * DAY_S, came_at=AT - DAY_S),
        replace(alert(5, "cow:5"), raised_at=AT - 40 * DAY_S),
    ]
    told = [
        Entry(AT - 60, "notice", 2, body={"kind": "alert", "alerts": [2]}),
        Entry(AT - 50, "notice", 2, body={"kind": "handed-on", "alerts": [2]}),
        Entry(AT - 40, "notice", None, body={"kind": "worklist", "alerts": [1, 3]}),
        Entry(AT - 35 * DAY_S, "notice", 4, body={"kind": "alert", "alerts": [4]}),
    ]
    lately = rule_page(the_rules()["late-cow"], alerts, chained(told, START, 0), AT).lately

    assert (lately.raised, lately.rung, lately.answered, lately.nothing_found) == (4, 1, 2, 1)
