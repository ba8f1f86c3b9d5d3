"""The rules in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from view_farm import AT, alert, the_rules

from sentinel.flow.rules import load_rules
from sentinel.flow.views.rules import Threshold, rule_shown, rules_page


def test_a_rule_is_told_with_its_thresholds_by_case() -> None:
    """The first case that fits counts; one with a bound of its own takes neither other bound from the rule."""
    rule = the_rules()["late-cow"].model_copy(
        update={"now_over": 18.0, "clear_under": 13.0, "about": "Hours.\n\n14 h is common practice.\n"}
    )
    told = rule_shown(rule)
    assert [(case.where, case.thresholds) for case in told.cases] == [
        ((("milkings_allowed", ("1",)),), (Threshold("raise", True, 26.0, "h"),)),
        ((), (
            Threshold("raise", True, 14.0, "h"), Threshold("now", True, 18.0, "h"),
            Threshold("clear", False, 13.0, "h"),
        )),
    ]  # fmt: skip
    assert (told.about, told.where) == (("Hours.", "14 h is common practice."), (("status", ("milking",)),))
    assert told.measures.startswith("h since")


def test_what_came_of_a_rule_on_this_farm_is_counted() -> None:
    """To tune it: raised, standing, answered, and what was found how often."""
    alerts = [
        alert(1, "cow:1", over_at=AT, answered_at=AT, finding="still at grass"),
        alert(2, "cow:2", answered_at=AT, finding="brought up"),
        alert(3, "cow:3", answered_at=AT, finding="still at grass"),
        alert(4, "cow:4"),
        alert(5, "box:1", rule="filter-overdue"),
    ]
    told = {rule.name: rule.came for rule in rules_page(the_rules(), alerts)}
    late = told["late-cow"]
    assert (late.raised, late.standing, late.answered) == (4, 3, 3)
    assert late.findings == (("still at grass", 2), ("brought up", 1))
    assert (told["filter-overdue"].raised, told["chore-due"].raised) == (1, 0)


SHIPPED = sorted((Path(__file__).parents[3] / "rules").glob("*.yaml"))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_shipped_rule_says_its_bound_and_where_it_comes_from(path: Path) -> None:
    """Each case raises past a figure in the rule's unit, the measure names its source, and `about` is not empty."""
    rules, problems = load_rules(path.read_text(encoding="utf-8"), f"rules/{path.name}")
    assert problems == []
    for told in rules_page({rule.name: rule for rule in rules}):
        for case in told.cases:
            assert any(threshold.kind == "raise" and threshold.unit for threshold in case.thresholds)
        assert told.measure_source
        assert told.about
        assert told.place.startswith(f"rules/{path.name}:")
