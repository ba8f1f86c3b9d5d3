"""How far each rule has been decided, when it is due, and which fail."""

from __future__ import annotations

from text_tables import moment
from whole.whole_farm import BOX_FAILURES, LATE_COW, setup_of

from sentinel.flow.evaluation.progress import Progress
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.model import Problem, Source

BLIND = """
- rule: blind
  measure: rule_blind_h
  raise_over: 1 h
  urgency: now
  say: "{rule}: {value}"
"""
RULES = setup_of(LATE_COW + BOX_FAILURES + BLIND).rules
SIX, SEVEN = moment("06:00"), moment("07:00")
FAILED = {"late-cow": Problem(Source("rules.yaml"), "late-cow could not be decided")}


def judged(progress: Progress, at: int, *failing: str, **due: int) -> Progress:
    """After a tick at which the visits are known until then."""
    known = progress.at_tick(at, RULES, {"visits": at})
    judgements = {
        name.replace("_", "-"): Judgement((), moment, sampled=name != "late_cow") for name, moment in due.items()
    }
    return known.judged(at, RULES, judgements, {name: FAILED[name] for name in failing})


def test_a_rule_is_decided_as_far_as_its_tables_are_known() -> None:
    """And which tables have moved since the tick before is told."""
    progress = judged(Progress(), SIX)
    later = progress.at_tick(SEVEN, RULES, {"visits": SIX + 60, "box_log": 5})

    assert progress.decided == {"late-cow": SIX, "box-failures": SIX, "blind": SIX}
    assert later.moved == {"visits", "box_log"}
    assert later.decidable == {"late-cow": SIX + 60, "box-failures": SIX + 60, "blind": SEVEN}
    assert progress.at_tick(SEVEN, RULES, {"visits": SIX}).moved == frozenset()


def test_a_failing_rule_gets_no_further_until_it_works() -> None:
    """It is told once, is blind since it was last decided, and whoever watches for that looks when it works."""
    failing = judged(judged(Progress(), SIX), SEVEN, "late-cow")
    asked = failing.at_tick(SEVEN + 60, RULES, {"visits": SEVEN + 60})
    works = judged(failing, SEVEN + 60)

    assert Progress().newly_failing(FAILED) == list(FAILED.values())
    assert failing.newly_failing(FAILED) == []
    assert (failing.decided["late-cow"], asked.seeing_until(SEVEN + 60)["late-cow"]) == (SIX, SIX)
    assert asked.seeing_until(SEVEN + 60)["box-failures"] == SEVEN + 60
    assert (works.failing, works.due) == ({}, {"blind": SEVEN + 61})


def test_a_look_at_some_cows_leaves_the_due_moment_of_the_others() -> None:
    """Of a sampled rule the earlier of both counts; of any other the new one does; what is past is let go."""
    progress = judged(Progress(), SIX, late_cow=SEVEN, box_failures=SEVEN)
    later = judged(progress, SIX + 60, late_cow=SEVEN + 5, box_failures=SEVEN + 5)

    assert later.due == {"late-cow": SEVEN + 5, "box-failures": SEVEN}
    assert judged(progress, SEVEN).due == {}


def test_what_is_forgotten_is_decided_anew() -> None:
    """What was known of the tables, and which measures give readings, stays."""
    progress = judged(Progress(), SIX, box_failures=SEVEN).forgotten()
    assert progress == Progress(known={"visits": SIX}, sampled=frozenset({"failed_attachments"}))
