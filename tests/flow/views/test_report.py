"""The report card of the rules, as it is shown."""

from __future__ import annotations

from page_farm import AT, RULES, a_trial

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import DAY_S, Alert, Entry
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.views.report import ReportPage, report_page

RULE = load_rules(RULES, "rules/boxes.yaml")[0][0]


PRESSING = load_rules(
    RULES.replace("5 failures\n  urgency: now", "5 failures\n  now_over: 6 failures\n  urgency: round"),
    "rules/boxes.yaml",
)[0][0]


def card(most_tried: int = 3, rule: Rule = RULE) -> ReportPage:
    """Five alerts of April and May on box 2, every one of which was answered with nothing found."""
    moments = [AT - n * 2 * DAY_S for n in range(5)]
    alerts = [Alert(n, RULE.name, "box:2", at, at, "now", "") for n, at in enumerate(moments)]
    answers = [
        Logged(n, Entry(at + 600, "answer", n, body={"finding": "nothing found"}), "", "")
        for n, at in enumerate(moments)
    ]
    asked = {rule.name: rule}
    return report_page(
        asked,
        alerts,
        [],
        answers,
        lambda name: a_trial(rule, AT),
        "UTC",
        AT - 30 * DAY_S,
        AT + 1,
        most_tried=most_tried,
    )


def test_the_newest_month_comes_first() -> None:
    """By its name, with its rules; then what each came to in all."""
    page = card()

    assert [(name, [(one.rule, one.raised) for one in rules]) for name, rules in page.months] == [
        ("May 2026", [("box-failures", 2)]),
        ("Apr 2026", [("box-failures", 3)]),
    ]
    assert [(one.raised, one.nothing_found, one.answer_s) for one in page.whole] == [(5, 5, 600)]


def test_a_rule_that_is_pointed_at_has_the_nearest_sensible_change() -> None:
    """With what it would have raised, and where the page that tries it has it; beyond a few it is only named."""
    [pointed] = card().pointed
    [named] = card(most_tried=0).pointed

    assert (pointed.why, pointed.nothing_found, pointed.looked_into) == ("cries-wolf", 5, 5)
    assert pointed.change is not None
    assert (pointed.change.settings, pointed.change.place) == ("raise_over 6 failures", 4)
    assert pointed.change.alerts_a_week < pointed.change.now_a_week
    assert (named.rule, named.tried, named.change) == ("box-failures", False, None)


def test_a_change_names_what_has_to_move_with_it() -> None:
    """The pressing bound lies at six failures: beyond that it moves along."""
    [pointed] = card(rule=PRESSING).pointed

    assert pointed.change is not None
    assert pointed.change.settings == "raise_over 6 failures, now_over 7 failures"
    assert (pointed.change.bound, pointed.change.along) == ("6 failures", ("now_over 7 failures",))
