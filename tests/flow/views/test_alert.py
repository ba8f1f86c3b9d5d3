"""One alert, whole."""

import math
from dataclasses import replace

import pytest
from view_farm import AT, the_farm, the_rules

from sentinel.flow.alerts.chain import START, Logged, chained
from sentinel.flow.language import Words
from sentinel.flow.model import Alert, Entry
from sentinel.flow.rules import Rule
from sentinel.flow.views.alert import alert_page, by_habit, likely_answers, suspects_of
from sentinel.flow.views.parts.facts import facts_of

RULE = Rule(
    name="box-failures",
    measure="failures_beyond_chance",
    per="box",
    unit="months",
    raise_over=36,
    findings=("arm out of line", "optics dirty", "nothing found"),
)
ALERT = Alert(
    8, "box-failures", "box:2", AT, AT - 60, "now", "Box 2: 13 of 61 failed",
    value=40.0,
    facts={"failed": 13, "expected": 2.5, "first_at": AT - 3600, "likeliest": "the arm", "nothing": None,
           "suspects": [{"name": "optics", "weight": 0.25, "said": "slow"},
                        {"name": "arm", "weight": 0.75, "said": "off"}]},
    look_first=("Put the box out of operation first.",),
)  # fmt: skip


def answered(*pairs: tuple[int, str], rule: str = "box-failures") -> list[Logged]:
    """The log of some answers: (alert, finding) each."""
    return chained([Entry(AT, "answer", a, rule, "box:2", "Marit", {"finding": f}) for a, f in pairs], START, 0)


def test_an_alert_is_told_whole() -> None:
    """Its figures under plain names with units, suspects by weight, look-first, answers, charts and its rule."""
    told = alert_page(ALERT, (), {"box-failures": RULE}, the_farm())
    assert [(f.words, f.value, f.unit, f.kind) for f in told.facts] == [
        ("failed", 13, "failures", "number"),
        ("failures usual for these cows", 2.5, "failures", "number"),
        ("counted from", AT - 3600, "", "moment"),
        ("by luck alone once in", 40.0, "months", "number"),
    ]
    assert [(s.name, s.likely, s.sentence) for s in told.suspects] == [
        ("arm", "most likely", "off"),
        ("optics", "possible", "slow"),
    ]
    assert told.look_first == ALERT.look_first
    assert (told.likely, told.findings) == (RULE.findings[:2], RULE.findings)
    assert (told.standing, told.rule, told.pictures) == (True, RULE.name, ("failures", "teats"))
    assert (told.line.alert, told.line.bound, told.line.unit) == (8, 36.0, "months")


def test_how_bad_it_is_is_told_against_what_is_usual_and_how_it_has_gone() -> None:
    """The measure names the two figures; a value that is a score is said as a sign of some strength."""
    gone = replace(ALERT, raised_value=40.0, worst_value=90.0, value=50.0)
    told = alert_page(gone, (), {"box-failures": RULE}, the_farm())

    assert told.usual is not None and [fact.value for fact in told.usual] == [13, 2.5]
    assert told.course == "clear sign when raised, strong at its worst, clear now, easing"
    assert alert_page(replace(gone, over_at=AT), (), {"box-failures": RULE}, the_farm()).course == ""
    assert alert_page(replace(ALERT, facts={"failed": 13}), (), {"box-failures": RULE}, the_farm()).usual is None


@pytest.mark.parametrize(
    ("subject", "page"), [("quarter:217/LF", "cow:217"), ("cow:217", "cow:217"), ("box:2", "box:2"), ("herd", None)]
)
def test_its_heading_leads_to_the_page_on_which_to_decide(subject: str, page: str | None) -> None:
    """Of a quarter the cow's, which has all four."""
    about = alert_page(replace(ALERT, subject=subject), (), {}, the_farm()).about

    assert (about and about.subject) == page


def test_a_late_cow_is_told_with_her_last_milking_and_how_often_she_usually_comes() -> None:
    """Since is when she passed her bound; the milking before it is called so."""
    rule = the_rules()["late-cow"]
    late = Alert(3, "late-cow", "cow:7", AT, AT - 3600, "round", "Cow 7", 15.0, {"reading_at": AT - 15 * 3600})
    told = alert_page(late, (), {"late-cow": rule}, the_farm(), every_h=8.5)

    assert told.last is not None and (told.last.words, told.last.value) == ("last milked", AT - 15 * 3600)
    assert (told.every_h, told.line.since) == (8.5, AT - 3600)
    assert alert_page(ALERT, (), {"box-failures": RULE}, the_farm(), every_h=8.5).every_h is None


def test_the_answers_given_most_often_on_this_farm_come_first() -> None:
    """Each alert counts once, with its last answer; answers of other rules and free words do not count."""
    log = answered((1, "nothing found"), (2, "nothing found"), (3, "optics dirty"), (1, "optics dirty"), (5, "a dog"))
    log += answered((9, "arm out of line"), (10, "arm out of line"), (11, "arm out of line"), rule="another")
    assert by_habit(RULE.findings, log, "box-failures") == ("optics dirty", "nothing found", "arm out of line")
    told = alert_page(ALERT, (), {"box-failures": RULE}, the_farm(), answers=log)
    assert told.likely == ("optics dirty", "nothing found")


def test_without_answers_they_stay_in_the_rules_own_order() -> None:
    """So too where all were given equally often."""
    assert by_habit(RULE.findings, (), "box-failures") == RULE.findings
    log = answered((1, "nothing found"), (2, "optics dirty"), (3, "arm out of line"))
    assert by_habit(RULE.findings, log, "box-failures") == RULE.findings


def test_the_two_likeliest_answers_are_kept_in_the_rules_words_and_said_in_the_farms() -> None:
    """A button sends what the rule has, whatever language it shows; of a rule that is gone there are none."""

    class German(Words):
        def say(self, text: str) -> str:
            return {"optics dirty": "Optik schmutzig"}.get(text, text)

    log = answered((1, "optics dirty"), (2, "optics dirty"), (3, "nothing found"))

    assert likely_answers(RULE, log, German()) == (
        ("optics dirty", "Optik schmutzig"),
        ("nothing found", "nothing found"),
    )
    assert likely_answers(None, log, German()) == ()


def test_the_log_of_an_alert_is_told_in_order_and_only_its_own() -> None:
    """Who did what, in words."""
    log = chained(
        [
            Entry(AT, "raised", 8, "box-failures", "box:2", body={"text": "Box 2: 13 of 61 failed"}),
            Entry(AT, "raised", 9, "late-cow", "cow:1", body={"text": "Cow 1"}),
            Entry(AT + 60, "answer", 8, "box-failures", "box:2", "Marit", {"finding": "arm out of line"}),
            Entry(AT + 90, "over", 8, "box-failures", "box:2", body={"why": "the condition ended"}),
        ],
        START,
        40,
    )
    told = alert_page(ALERT, reversed(log), {}, the_farm())
    assert [(one.number, one.kind, one.person, one.what) for one in told.log] == [
        (41, "raised", "", "Box 2: 13 of 61 failed"),
        (43, "answer", "Marit", "arm out of line"),
        (44, "over", "", "the condition ended"),
    ]


def test_what_an_alert_holds_back_is_named() -> None:
    """Only what stands now."""
    held = Alert(9, "cow-failures", "cow:7", AT, AT, "round", "Cow 7", covered_by=("box-failures box:2",))
    gone = Alert(10, "cow-failures", "cow:8", AT, AT, "round", "Cow 8", over_at=AT, covered_by=("box-failures box:2",))
    told = alert_page(ALERT, (), {}, the_farm(), alerts=[ALERT, held, gone])
    assert [(one.alert, one.what) for one in told.with_it] == [(9, "Cow 7")]


def test_an_alert_of_a_rule_that_is_gone_is_still_told() -> None:
    """Without a bound, without answers to offer."""
    told = alert_page(ALERT, (), {}, the_farm())
    assert (told.findings, told.line.bound, told.rule, told.pictures) == ((), None, "", ())


@pytest.mark.parametrize("value", [None, math.nan, math.inf, "", [1, 2], {"a": 1}])
def test_a_figure_that_is_not_known_is_left_out(value: object) -> None:
    """Neither `nan` nor an empty word is shown."""
    assert facts_of({"failed": value}, "h") == ()


def test_a_figure_in_the_measures_own_unit_carries_it() -> None:
    """The uncertainty of an arm is in mm, that of attach times in %."""
    assert [fact.unit for unit in ("mm", "%") for fact in facts_of({"uncertainty": 2.9}, unit)] == ["mm", "%"]


def test_a_sign_is_told_by_its_strength_and_a_chance_as_once_in_so_many() -> None:
    """By the marks that its measure declares; what is next to nothing is no sign."""
    facts = facts_of({"rise_points": 2.5, "ewma_points": 1.0, "yield_points": 0.1, "chance": 0.0004}, "points")

    assert [(f.words, f.kind, f.said or f.value) for f in facts] == [
        ("this milking's conductivity", "sign", "strong"),
        ("the milkings before", "sign", "clear"),
        ("less milk than it usually gives", "sign", "no sign"),
        ("this many by luck alone", "odds", 2500.0),
    ]


def test_no_suspects_are_no_fault() -> None:
    """Most rules have none."""
    assert suspects_of(None) == ()
