"""The report card of the rules."""

from __future__ import annotations

from page_farm import AT, RULES, a_trial

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import DAY_S, HOUR_S, Alert, Entry
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tuning.report import nearest_change, report_card
from sentinel.flow.tuning.share import Share

MAY = 1_777_593_600  # Friday 1 May 2026, 00:00 UTC
LATE = Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", raise_over=14)
SHARE = Rule(name="late-share", measure="late_share", per="herd", unit="%", raise_over=30)
ASIDE = Rule(name="aside", measure="rows_set_aside", per="file", unit="rows", raise_over=0)
RULES_OF_FARM = {one.name: one for one in (LATE, SHARE, ASIDE)}


def alert(number: int, at: int, rule: str = "late-cow") -> Alert:
    """A cow that is late."""
    return Alert(number, rule, f"cow:{number}", at, at, "now", "")


def entry(of: str, at: int, number: int, **body: object) -> Logged:
    """An entry of the log."""
    return Logged(1, Entry(at, of, number, body=body), "", "")


def test_months_with_times_to_answer_and_what_was_found() -> None:
    """April has one alert, on the farm's calendar; of May's four two rang, three were answered, after 1, 2 and 11 h."""
    alerts = [
        alert(n, at) for n, at in enumerate((MAY - 3 * HOUR_S, MAY, MAY + DAY_S, MAY + 2 * DAY_S, MAY + 3 * DAY_S))
    ]
    notices = [
        entry("notice", MAY, 1, kind="alert", alerts=[1]),
        entry("notice", MAY, 2, kind="digest", alerts=[2, 3]),
        entry("notice", MAY, 4, kind="worklist", alerts=[4]),
    ]
    answers = [
        entry("answer", MAY + HOUR_S, 1, finding="lame"),
        entry("answer", MAY + DAY_S + 2 * HOUR_S, 2, finding="nothing found"),
        entry("answer", MAY + 2 * DAY_S + 11 * HOUR_S, 3, finding=""),
        entry("answer", MAY + 2 * DAY_S + 20 * HOUR_S, 3, finding=""),
    ]
    card = report_card(RULES_OF_FARM, alerts, notices, answers, "UTC", MAY - DAY_S, MAY + 5 * DAY_S)
    april, may = card.months

    assert (april.month, april.raised, april.unanswered, april.answer_s) == ("2026-04", 1, 1, None)
    assert (may.month, may.raised, may.rung, may.answered) == ("2026-05", 4, 3, 3)
    assert (may.real, may.nothing_found, may.seen, may.unanswered) == (1, 1, 1, 1)
    assert (may.answer_s, may.answer_90_s) == (2 * HOUR_S, (2 + 0.8 * 9) * HOUR_S)
    assert [(one.rule, one.month, one.raised) for one in card.whole] == [
        ("late-cow", "", 5),
        ("late-share", "", 0),
        ("aside", "", 0),
    ]
    assert (
        report_card(RULES_OF_FARM, alerts, [], [], "Pacific/Auckland", MAY - DAY_S, MAY + 1).months[0].month
        == "2026-05"
    )


def test_a_rule_cries_wolf_once_that_is_sure() -> None:
    """Four of four for nothing may be one in two; five of five are surely more."""
    for number, pointed in ((3, []), (4, ["late-cow"]), (9, ["late-cow"])):
        alerts = [alert(n, MAY + n * HOUR_S) for n in range(number)]
        answers = [entry("answer", MAY + DAY_S, n, finding="nothing found") for n in range(number)]
        card = report_card({"late-cow": LATE}, alerts, [], answers, "UTC", MAY, MAY + 5 * DAY_S)

        assert [one.rule for one in card.pointed] == pointed, Share(number, number).interval
        assert all(one.why == "cries-wolf" for one in card.pointed)


def test_a_rule_that_never_speaks_is_pointed_at_after_two_months() -> None:
    """Not before, and not one whose bound cannot be another."""
    for days, pointed in ((59, []), (60, ["late-cow", "late-share"])):
        card = report_card(RULES_OF_FARM, [], [], [], "UTC", MAY, MAY + days * DAY_S)

        assert [one.rule for one in card.pointed] == pointed
        assert all(one.why == "never-speaks" for one in card.pointed)


def test_the_nearest_change_has_fewer_alerts_or_the_first_one() -> None:
    """Box 2 failed at up to eight visits: from six failures on there is one alert, and with eleven the first below."""
    rule = load_rules(RULES, "rules/boxes.yaml")[0][0]
    wolf = nearest_change(a_trial(rule, AT), "cries-wolf")
    deaf = a_trial(rule.model_copy(update={"raise_over": 11.0, "text": rule.text.replace("5 fail", "11 fail")}), AT)
    first = nearest_change(deaf, "never-speaks")

    assert wolf is not None
    assert wolf.settings == (("raise_over", "6 failures"),)
    assert deaf.now.raised == ()
    assert first is not None
    assert first.settings == (("raise_over", "6 failures"),)
    assert len(first.raised) == 1


def test_there_may_be_no_change_to_name() -> None:
    """Where every higher bound misses what was found."""
    rule = load_rules(RULES, "rules/boxes.yaml")[0][0]
    silent = rule.model_copy(update={"raise_over": 90.0, "text": rule.text.replace("5 fail", "90 fail")})

    assert nearest_change(a_trial(silent, AT), "never-speaks") is None
