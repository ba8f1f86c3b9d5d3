"""Which charts a page shows: those of the measure of an alert, of a box, of a quarter."""

from __future__ import annotations

from dataclasses import replace

import pytest
from flow.views.charts.looked_at import WORDS, read, texts
from view_farm import AT, alert, rows, the_rules

from sentinel.flow.views.charts.pictures import Rows, alert_pictures, box_pictures, quarter_pictures

VISITS = """
cow  start    box  outcome  milk_kg  lf_conductivity_mS_cm  rf_conductivity_mS_cm
7    06:00    1    milked   12       4.5                    4.4
7    14:00    2    failed   -        -                      -
7    1d06:00  1    milked   11       5.5                    4.4
8    1d07:00  2    milked   11       5.5                    4.4
"""


@pytest.mark.parametrize(
    ("subject", "rule", "names"),
    [
        ("quarter:7/LF", "q", ["Cow 7, left front quarter", "Cow 7: four weeks"]),
        ("cow:7", "late-cow", ["Hours since milking", "Cow 7: four weeks"]),
        ("box:2", "box", ["Box 2: failed", "Box 2: where it sees"]),
        ("herd", "box", []),
        ("feed:a", "feed-quiet", []),
        ("cow:7", "a rule that is gone", ["Cow 7: four weeks"]),
    ],
)
def test_an_alert_shows_the_charts_of_its_measure(subject: str, rule: str, names: list[str]) -> None:
    """Those of its subject; all boxes at once have none of a single box."""
    rules = the_rules()
    rules["q"] = replace_rule("q", "conductivity_rise_pct", "quarter")
    rules["box"] = replace_rule("box", "failures_beyond_chance", "box")
    one = alert(1, subject, since="1d06:00", rule=rule)
    found = alert_pictures(one, Rows(rows(visits=VISITS), rules, (one,), "UTC", WORDS, AT))
    assert [picture.title[: len(name)] for picture, name in zip(found, names, strict=True)] == names
    for picture in found:
        read(picture)


def replace_rule(name: str, measure: str, per: str):
    """A rule on a measure."""
    return the_rules()["late-cow"].model_copy(
        update={"name": name, "measure": measure, "per": per, "where": {}, "classes": (), "unit": "%"}
    )


def test_pages_without_a_matching_rule_still_have_their_charts() -> None:
    """A box's failures and teats, a quarter against the others."""
    shown = Rows(rows(visits=VISITS), {}, (), "UTC", WORDS, AT)
    assert len(box_pictures("2", shown)) == 2
    for one in (*box_pictures("2", shown), *quarter_pictures("7", "LF", shown)):
        read(one)
    rules = {"q": replace_rule("q", "conductivity_rise_pct", "quarter")}
    [picture] = quarter_pictures("7", "LF", replace(shown, rules=rules))
    assert {"mS/cm", "%"} <= set(texts(read(picture)))
