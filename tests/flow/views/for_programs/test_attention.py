"""Alerts about animals as attention events of the ICAR ADE standard, as its own models (1.4) read them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from icar.enums import IcarAttentionCauseType
from icar.resources import IcarAttentionEventResource
from text_tables import moment
from whole.whole_farm import setup_of, shipped_rules

from sentinel.flow.measures import MEASURES
from sentinel.flow.model import Alert
from sentinel.flow.views.for_programs.attention import CATEGORIES, attention_collection, attention_events

AT = moment("12:00")
RULES = setup_of(shipped_rules()).rules
ALERT = Alert(7, "late-cow", "cow:217", moment("09:00"), moment("08:00"), "round", "Cow 217 not milked for 15 h")
DIAGNOSES = {"Mastitis", "Ketosis", "Lameness", "Parturition", "Heat"}


@pytest.mark.parametrize(
    ("rule", "subject", "urgency", "category", "priority"),
    [
        ("late-cow", "cow:217", "round", "Other", "Normal"),
        ("cow-failures", "cow:217", "round", "Other", "Normal"),
        ("quarter-conductivity", "quarter:217/LF", "now", "Health", "Urgent"),
        ("yield-drop", "cow:217", "log", "Health", "Informational"),
        ("sensor-stuck", "quarter:217/RR", "round", "DeviceIssue", "Normal"),
        ("one-that-was-taken-out", "cow:217", "round", "Other", "Normal"),
    ],
)
def test_an_alert_about_an_animal_says_what_was_seen(
    rule: str, subject: str, urgency: str, category: str, priority: str
) -> None:
    """The standard's model takes it; its cause is never a diagnosis, and the sentence is the alert's own."""
    said = replace(ALERT, rule=rule, subject=subject, urgency=urgency)
    (event,) = attention_events(said, RULES, "example.farm", AT)
    read = IcarAttentionEventResource.model_validate(event)

    assert (read.animal.id, read.animal.scheme, read.remark) == ("217", "example.farm", ALERT.text)
    assert (read.category.value, read.priority and read.priority.value) == (category, priority)
    assert [cause.value for cause in read.causes] == ["Other"]
    assert read.eventDateTime is not None and read.eventDateTime.timestamp() == ALERT.raised_at
    assert (read.alertEndDateTime, read.severity, read.deviceAttentionScore) == (None, None, None)


def test_an_alert_that_is_over_says_when_it_ended() -> None:
    """So that a herd program can close it."""
    (event,) = attention_events(replace(ALERT, over_at=moment("11:00")), RULES, "example.farm", AT)
    read = IcarAttentionEventResource.model_validate(event)

    assert read.alertEndDateTime is not None and read.alertEndDateTime.timestamp() == moment("11:00")


def test_an_alert_on_a_recording_is_an_event_of_each_cow_that_it_lists() -> None:
    """With a number of her own, and what is said of her; a cow that is listed to compare with has none."""
    rows = [
        {"cow": "217", "state": "new", "said": "Cow 217: 420 k/ml (new; 80 at the test before)"},
        {"cow": "5", "state": "low", "said": "Cow 5: 180 k/ml (low)"},
    ]
    alert = replace(ALERT, rule="cow-cells", subject="recording:2024-06-03", facts={"listed": rows})
    collection, left_out = attention_collection([alert, replace(alert, facts={})], RULES, "example.farm", AT)
    (read,) = (IcarAttentionEventResource.model_validate(one) for one in collection["member"])

    assert (read.id, read.meta.sourceId, read.animal.id) == ("7-217", "7-217", "217")
    assert (read.remark, read.category.value) == (rows[0]["said"], "Health")
    assert left_out == [replace(alert, facts={})]


def test_what_is_about_no_animal_has_no_place() -> None:
    """A box, a tank, a feed, the herd: they are counted and left out."""
    others = [replace(ALERT, subject=subject) for subject in ("box:2", "tank:1", "feed:visits", "herd", "chore:wash/2")]
    collection, left_out = attention_collection([ALERT, *others], RULES, "example.farm", AT)

    assert [one["animal"]["id"] for one in collection["member"]] == ["217"]
    assert collection["view"]["totalItems"] == 1
    assert left_out == others


def test_no_cause_of_the_standard_that_is_a_diagnosis_is_ever_used() -> None:
    """They are there: it is a choice. The categories are of measures that there are."""
    assert {cause.value for cause in IcarAttentionCauseType} > DIAGNOSES
    assert CATEGORIES.keys() <= {measure.name for measure in MEASURES}
