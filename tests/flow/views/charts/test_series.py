"""What a rule's own measure read of a subject."""

from __future__ import annotations

from text_tables import moment_text
from view_farm import AT, VISITS, rows, the_rules

from sentinel.flow.rules import Rule
from sentinel.flow.views.charts.series import series_of


def test_a_rules_readings_come_with_the_bounds_of_the_subjects_own_class() -> None:
    """What the rule judged, reading by reading."""
    rule = Rule(
        name="cow-failures", measure="failed_attachments", per="cow", unit="failures", raise_over=2, now_over=5,
        options={"within": 86400.0},
    )  # fmt: skip
    found = series_of(rule, "cow:217", rows(visits=VISITS), AT)
    assert found is not None
    assert [(moment_text(at), value) for at, value in found.points] == [
        ("06:00", 0.0), ("16:00", 1.0), ("1d02:00", 1.0), ("1d05:00", 1.0),
    ]  # fmt: skip
    assert (found.bound, found.now_bound, found.unit, found.over) == (2.0, 5.0, "failures", True)
    assert series_of(the_rules()["late-cow"], "cow:217", rows(visits=VISITS), AT) is None
