"""An alert whose rows were read again by another map: it ends, or it holds by what is read now."""

from __future__ import annotations

from dataclasses import replace

from sentinel.flow.alerts.lifecycle import move
from sentinel.flow.alerts.links import Links
from sentinel.flow.alerts.read_again import NOTHING, ReadAgain
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.language import ENGLISH
from sentinel.flow.model import Alert, State, Verdict
from sentinel.flow.reasons import in_english
from sentinel.flow.rules import Rule, load_rules

RULES = """\
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  urgency: round
  say: "Cow {cow} not milked for {value}"
- rule: tank-cells
  measure: tank_cells_k_ml
  raise_over: 400 k/ml
  urgency: now
  say: "Tank {tank}: {value}"
"""
AT = 1_777_881_600
READ = NOTHING.with_("feeds/milkings.yaml", {"visits": {"217"}})


def rules() -> dict[str, Rule]:
    """The two rules."""
    found, problems = load_rules(RULES, "rules/cows.yaml")
    assert not problems, problems
    return {rule.name: rule for rule in found}


def alert(rule: str = "late-cow", subject: str = "cow:217") -> Alert:
    """One that stands, with an hour of its own course."""
    told = {"value": 15.0, "raised_value": 14.1, "worst_value": 33.0}
    return Alert(1, rule, subject, AT - 3600, AT - 3600, "round", "Cow 217 not milked", incident=1, **told)


def moved(standing: Alert, *verdicts: Verdict, read: ReadAgain = READ) -> dict[str, Alert]:
    """What became of one alert, and of new ones, by subject."""
    judged = {standing.rule: Judgement(verdicts)}
    pairs = {(standing.rule, standing.subject): standing}
    done = move(AT, rules(), judged, pairs, 2, Links(), ENGLISH, "", read)
    return {one.subject: one for one in done.alerts}


def test_one_that_cannot_be_told_any_more_ends_with_that_reason() -> None:
    """Nothing is known of the cow by the new map: she may never have been one."""
    over = moved(alert())["cow:217"]

    assert over.over_at == AT
    assert over.over_why is not None
    assert in_english(over.over_why) == "what it was raised on was read again: feeds/milkings.yaml"


def test_one_that_is_clear_ends_with_that_reason() -> None:
    """Not because the cow came to be milked."""
    over = moved(alert(), Verdict("late-cow", "cow:217", State.CLEAR, 9.0))["cow:217"]

    assert over.over_why == READ.why


def test_one_that_holds_still_stands_and_its_course_begins_anew() -> None:
    """The worst that it was said to be was read by the map of then."""
    holding = Verdict("late-cow", "cow:217", State.HOLDS, 15.5, AT - 1800, "round", {"bound": 14.0})
    found = moved(alert(), holding)["cow:217"]

    assert found.standing
    assert (found.raised_value, found.worst_value) == (15.5, 15.5)


def test_one_that_is_over_holds_nothing_against_what_is_read_now() -> None:
    """A mistake in a map and back again: what was raised before is raised again by the same readings."""
    over = replace(alert(), over_at=AT - 60, facts={"reading_at": AT - 3600, "bound": 14.0})

    assert moved(over)["cow:217"].facts == {"bound": 14.0}
    assert moved(over, read=NOTHING) == {}
    assert moved(replace(over, subject="cow:9")) == {}


def test_one_on_another_table_stays() -> None:
    """The tank's rule rests on no visit."""
    assert moved(alert("tank-cells", "tank:1")) == {}


def test_without_anything_read_again_what_cannot_be_told_stays() -> None:
    """Unknown ends nothing."""
    assert moved(alert(), Verdict("late-cow", "cow:217", State.UNKNOWN), read=NOTHING) == {}


def test_several_readings_add_up() -> None:
    """Per table who was touched, and each edit once."""
    both = READ.with_("feeds/milkings.yaml", {"visits": {"218"}}).with_("feeds/tank.yaml", {"tank": {"1"}})

    assert both.touched == {"visits": {"217", "218"}, "tank": {"1"}}
    assert in_english(both.why).endswith("feeds/milkings.yaml; feeds/tank.yaml")
    assert both.names(alert(), rules()["late-cow"])
    assert not both.names(alert(subject="cow:9"), rules()["late-cow"])
