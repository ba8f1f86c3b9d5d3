"""Past which figure a rule would raise an alert of a subject."""

from __future__ import annotations

from view_farm import AT, COWS, rows, the_rules

from sentinel.flow.views.parts.bounds import bound_for


def test_a_bound_is_that_of_the_class_she_belongs_to() -> None:
    """26 h for a cow that is allowed one milking a day, 14 h for the others and for one that no list names."""
    once = rows(cows=COWS.replace("3                 milking", "1                 milking"))

    assert bound_for("hours_since_milking", "cow:217", the_rules(), rows(cows=COWS), AT) == (14.0, "h")
    assert bound_for("hours_since_milking", "cow:217", the_rules(), once, AT) == (26.0, "h")
    assert bound_for("hours_since_milking", "cow:9", the_rules(), rows(cows=COWS), AT) == (14.0, "h")


def test_there_is_none_where_no_rule_looks() -> None:
    """A dry cow cannot be late, a measure without a rule has no bound, a rule on boxes none for cows."""
    dry = rows(cows=COWS.replace("milking\n", "dry\n"))

    assert bound_for("hours_since_milking", "cow:217", the_rules(), dry, AT) is None
    assert bound_for("yield_drop_pct", "cow:217", the_rules(), rows(cows=COWS), AT) is None
    assert bound_for("hours_since_filter", "cow:217", the_rules(), rows(cows=COWS), AT) is None
