"""One alert's life: verdicts and the alerts so far in, alerts and entries out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from sentinel.edges.locales import words_in
from sentinel.flow.alerts.lifecycle import AGED, ENDED, OTHER_SUBJECTS, UNWATCHED, Moved, cover, move, take_answers
from sentinel.flow.alerts.links import Links
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.language import Words, english
from sentinel.flow.model import Alert, Answer, State, Verdict
from sentinel.flow.rules import Rule

H = 3600


def rule(name: str = "late-cow", **more: Any) -> Rule:
    """A rule with a short sentence."""
    return Rule(
        name=name, measure="hours_since_milking", per="cow", unit="h", raise_over=14, say="{subject}: {value}", **more
    )


def holds(value: float = 15, urgency: str = "round", subject: str = "cow:7", name: str = "late-cow") -> Verdict:
    """The rule holds, since an hour ago in the data's time."""
    return Verdict(name, subject, State.HOLDS, value, 40, urgency, {"value": value})


def said(state: State, subject: str = "cow:7") -> Verdict:
    """The rule is clear or cannot be told."""
    return Verdict("late-cow", subject, state, 1.0, why="no data")


class Told:
    """A rule's alerts as ticks go by."""

    def __init__(self, *rules: Rule) -> None:
        self.rules = {one.name: one for one in rules or (rule(),)}
        self.alerts: dict[tuple[str, str], Alert] = {}
        self.log: list[str] = []
        self.words: Words = english("UTC")

    def tick(self, at: int, *verdicts: Verdict, whole: bool = False, because: str = "") -> Moved:
        """One tick; a rule of which nothing is said was not judged."""
        judged = {}
        for name in {one.rule for one in verdicts} or ({"late-cow"} if whole else set()):
            judged[name] = Judgement(tuple(v for v in verdicts if v.rule == name), whole=whole)
        numbers = [alert.id for alert in self.alerts.values()]
        moved = move(
            at, self.rules, judged, self.alerts, max(numbers, default=0) + 1, Links(), self.words, because=because
        )
        self.alerts |= {(a.rule, a.subject): a for a in moved.alerts}
        self.log += [f"{e.at} {e.kind} {e.alert}" for e in moved.entries]
        return moved


def test_it_is_raised_once_and_over_once() -> None:
    """While it holds, only its figures move; the sentence goes with them."""
    told = Told()
    for at, verdict in (
        (50, holds(15)),
        (60, holds(16)),
        (70, holds(16)),
        (80, said(State.CLEAR)),
        (90, said(State.CLEAR)),
    ):
        told.tick(at, verdict)

    assert told.log == ["50 raised 1", "80 over 1"]
    [alert] = told.alerts.values()
    assert (alert.raised_at, alert.since, alert.value, alert.text) == (50, 40, 16, "cow 7: 16 h")
    assert (alert.over_at, alert.over_why) == (80, ENDED)


def test_unknown_neither_raises_nor_ends() -> None:
    """It stands through any number of ticks at which nothing can be told."""
    told = Told()
    told.tick(40, said(State.UNKNOWN))
    assert told.alerts == {}
    told.tick(50, holds())
    for at in range(60, 100, 10):
        told.tick(at, said(State.UNKNOWN))
    assert told.log == ["50 raised 1"]


def test_it_may_become_more_pressing_but_not_less() -> None:
    """A step up is an entry, and undoes an answer that was given to the lesser one."""
    told = Told()
    told.tick(50, holds())
    [answered], _ = take_answers(55, [Answer(1, 55, "Marit", "still at grass")], told.alerts.values())
    told.alerts[("late-cow", "cow:7")] = answered
    told.tick(60, holds(18, "now"))
    told.tick(70, holds(18, "round"))

    assert told.log == ["50 raised 1", "60 more-pressing 1"]
    [alert] = told.alerts.values()
    assert (alert.urgency, alert.answered) == ("now", False)


@pytest.mark.parametrize(("gap", "kinds"), [(2 * H, ["again 1"]), (2 * H + 1, ["raised 2"])])
def test_coming_again_within_its_time_it_is_the_same_alert(gap: int, kinds: list[str]) -> None:
    """A second later it is a new one."""
    told = Told(rule(again_within_s=2 * H))
    told.tick(50, holds())
    told.tick(60, said(State.CLEAR))
    told.tick(60 + gap, holds(17))

    assert [line.partition(" ")[2] for line in told.log] == ["raised 1", "over 1", *kinds]


def test_an_alert_let_go_for_its_age_waits_until_the_rule_was_clear() -> None:
    """While the rule goes on holding it stays away; after it was clear it may come anew."""
    told = Told(rule(over_after_s=100))
    told.tick(50, holds())
    told.tick(149, holds())
    told.tick(150, holds())
    told.tick(500, holds())
    assert told.log == ["50 raised 1", "150 over 1"]
    assert next(iter(told.alerts.values())).over_why == AGED

    told.tick(510, said(State.CLEAR))
    told.tick(520, holds())
    assert told.log[2:] == ["520 raised 2"]


def test_a_subject_that_is_no_longer_watched_ends_its_alert() -> None:
    """Only where the rule has looked at everything."""
    told = Told()
    told.tick(50, holds())
    told.tick(60, said(State.CLEAR, "cow:8"))
    assert told.log == ["50 raised 1"]
    told.tick(70, said(State.CLEAR, "cow:8"), whole=True)
    assert told.log == ["50 raised 1", "70 over 1"]
    assert told.alerts[("late-cow", "cow:7")].over_why == UNWATCHED

    told.tick(80, holds())
    told.tick(90, whole=True)
    assert told.log[2:] == ["80 raised 2", "90 over 2"]


def test_a_rule_taken_out_ends_its_alerts() -> None:
    """And the entry says what was edited."""
    told = Told()
    told.tick(50, holds())
    del told.rules["late-cow"]
    moved = told.tick(60, because="rules/cows.yaml: late-cow was taken out")

    assert told.log == ["50 raised 1", "60 over 1"]
    assert moved.entries[0].body["because"] == "rules/cows.yaml: late-cow was taken out"


def test_a_rule_that_is_about_other_subjects_now_ends_its_alerts() -> None:
    """One alert a cow was, one a recording is: what is still said of the cow by her old name changes nothing."""
    told = Told()
    told.tick(50, holds())
    told.rules["late-cow"] = told.rules["late-cow"].model_copy(update={"per": "recording"})
    told.tick(60, Verdict("late-cow", "cow:7", State.CLEAR), because="rules/cows.yaml: late-cow was changed")

    assert told.log == ["50 raised 1", "60 over 1"]
    assert told.alerts[("late-cow", "cow:7")].over_why == OTHER_SUBJECTS


def listing(*cows: str) -> Verdict:
    """The rule holds, and lists these cows."""
    rows = [{"cow": cow, "state": "new"} for cow in cows]
    return replace(holds(), facts={**holds().facts, "listed": rows})


def test_an_answered_alert_that_lists_a_new_cow_is_told_anew() -> None:
    """Nobody has seen her; a cow that leaves the list, or is on it still, is no news."""
    told = Told()
    told.tick(50, listing("7", "8"))
    answered, _ = take_answers(60, [Answer(1, 60, "Ann")], told.alerts.values())
    told.alerts |= {(one.rule, one.subject): one for one in answered}
    told.tick(70, listing("8"))
    assert told.alerts[("late-cow", "cow:7")].answered
    told.tick(80, listing("8", "9"))
    told.tick(90, listing("8", "9"))

    (alert,) = told.alerts.values()
    assert (alert.answered, alert.came_at, alert.again) == (False, 80, 0)
    assert told.log == ["50 raised 1", "80 again 1"]


def test_one_number_for_each_alert_of_a_tick() -> None:
    """Several raised at once are numbered on, by subject."""
    told = Told()
    told.tick(50, holds(subject="cow:8"), holds(subject="cow:7"))
    assert {subject: alert.id for (_, subject), alert in told.alerts.items()} == {"cow:7": 1, "cow:8": 2}


# --- covering --------------------------------------------------------------------------------------------


def standing(number: int, name: str, subject: str, **more: Any) -> Alert:
    """An alert that stands."""
    return Alert(number, name, subject, 10, 10, "now", "", **more)


LINKS = Links({"7": frozenset({"2"})}, {"late-cow": frozenset({"milkings"}), "box-quiet": frozenset({"milkings"})})


def test_a_covered_alert_is_held_back_and_let_through_again() -> None:
    """Both are entries; a second cause changes only the list."""
    rules = {"late-cow": rule(covered_by=("box-quiet", "feed-quiet"))}
    late = standing(1, "late-cow", "cow:7")
    box, feed = standing(2, "box-quiet", "box:2"), standing(3, "feed-quiet", "feed:milkings")

    changed, entries = cover(50, rules, {("late-cow", "cow:7"): late, ("b", ""): box}, LINKS)
    held = changed[("late-cow", "cow:7")]
    assert (held.covered_by, [e.kind for e in entries]) == (("box-quiet box:2",), ["held-back"])
    changed, entries = cover(60, rules, {("late-cow", "cow:7"): held, ("b", ""): box, ("f", ""): feed}, LINKS)
    held = changed[("late-cow", "cow:7")]
    assert (held.covered_by, entries) == (("box-quiet box:2", "feed-quiet feed:milkings"), [])
    changed, entries = cover(70, rules, {("late-cow", "cow:7"): held}, LINKS)
    assert (changed[("late-cow", "cow:7")].covered_by, [e.kind for e in entries]) == ((), ["let-through"])


# --- answers ---------------------------------------------------------------------------------------------


def test_the_last_answer_counts_and_each_is_in_the_log() -> None:
    """Two people may answer the same alert, also one that is over."""
    late = standing(4, "late-cow", "cow:7", over_at=40)
    [answered], entries = take_answers(
        50, [Answer(4, 45, "Marit", "still at grass"), Answer(4, 48, "Åse", "brought up", "lame")], [late]
    )
    assert (answered.answered_by, answered.answered_at, answered.finding, answered.note) == (
        "Åse",
        48,
        "brought up",
        "lame",
    )
    assert [(e.at, e.kind, e.alert, e.person, e.body["answered_at"]) for e in entries] == [
        (50, "answer", 4, "Marit", 45),
        (50, "answer", 4, "Åse", 48),
    ]


def test_an_answer_to_an_alert_that_is_not_there_is_kept_as_a_problem() -> None:
    """Nothing that somebody said is lost."""
    changed, [entry] = take_answers(50, [Answer(9, 45, "Marit", "seen", "on the phone")], [])
    assert (changed, entry.kind, entry.person, entry.body["note"]) == ((), "problem", "Marit", "on the phone")


# --- put off, handed over, told late -----------------------------------------------------------------------


def test_an_alert_that_is_put_off_or_handed_over_is_not_answered_but_lies_with_somebody() -> None:
    """Put off: with who put it off, from then on; handed: with the other, at once; the log says both in order."""
    standing = Alert(4, "late-cow", "cow:7", 10, 10, "now", "Cow 7")

    [put_off], [first] = take_answers(50, [Answer(4, 45, "Marit", note="milking", until=900)], [standing])
    [handed], [second] = take_answers(60, [Answer(4, 60, "Marit", hand_to="Joren")], [put_off])
    [answered], _ = take_answers(70, [Answer(4, 70, "Joren", "still at grass")], [handed])

    assert (put_off.answered, put_off.lies_with, put_off.lies_from) == (False, "Marit", 900)
    assert (first.kind, first.body["until"], first.body["note"]) == ("put-off", 900, "milking")
    assert (handed.answered, handed.lies_with, handed.lies_from) == (False, "Joren", 60)
    assert (second.kind, second.person, second.body["to"]) == ("handed", "Marit", "Joren")
    assert (answered.answered_by, answered.lies_with, answered.lies_from) == ("Joren", "", None)


def test_a_time_that_has_gone_by_puts_an_alert_off_until_now() -> None:
    """An answer from a phone without signal may arrive after the moment it names."""
    [put_off], _ = take_answers(
        50, [Answer(4, 20, "Marit", until=30)], [Alert(4, "late-cow", "cow:7", 10, 10, "now", "Cow 7")]
    )

    assert put_off.lies_from == 50


def test_an_answer_that_arrives_late_is_logged_and_undoes_no_later_one() -> None:
    """Marit's phone had no signal; Joren answered meanwhile, or the alert was over and came again."""
    late = Answer(4, 45, "Marit", "brought up")
    answered = Alert(
        4, "late-cow", "cow:7", 10, 10, "now", "Cow 7", answered_at=60, answered_by="Joren", finding="lame"
    )
    came_again = Alert(4, "late-cow", "cow:7", 10, 10, "now", "Cow 7", again=1, came_at=60)

    for alert in (answered, came_again):
        unchanged, [entry] = take_answers(70, [late], [alert])
        assert unchanged == ()
        assert (entry.kind, entry.person, entry.body["finding"]) == ("answer", "Marit", "brought up")


def points(**more: Any) -> Rule:
    """A rule on points that can become pressing and wavers before it is over."""
    bounds = {"raise_over": 4, "clear_under": 3, "now_over": 6, "again_within_s": 100, **more}
    return Rule(name="late-cow", measure="udder_evidence", per="cow", unit="points", say="{subject}: {value}", **bounds)


def course_after(one: Rule, *readings: tuple[float, str], words: Any = None) -> list[tuple[str, str]]:
    """The course and the bound it has eased to after each of these values and urgencies."""
    told = Told(one)
    if words is not None:
        told.words = words
    found = []
    for at, (value, urgency) in enumerate(readings, 50):
        told.tick(at, said(State.CLEAR) if urgency == "clear" else holds(value, urgency))
        [alert] = told.alerts.values()
        found.append((alert.course, alert.eased))
    return found


def test_an_alert_remembers_what_it_was_raised_with_and_its_worst() -> None:
    """Pushed as a strong sign and read as a slight one it says both, and that it is no longer past what cannot wait."""
    readings = ((6.8, "now"), (6.8, "now"), (8.2, "now"), (6.5, "now"), (3.9, "now"))

    assert course_after(points(), *readings) == [
        ("", ""),
        ("", ""),
        ("rising", ""),
        ("easing", ""),
        ("strong sign when raised, slight now", "6 points"),
    ]


def test_the_course_is_in_the_farms_language_and_only_where_a_person_would_see_a_difference() -> None:
    """4.51 and 4.54 points read the same, so nothing is said."""
    german = words_in("de", ",", "UTC")

    assert course_after(points(), (4.51, "round"), (4.54, "round"), (7, "round"), (5, "round"), words=german)[1:] == [
        ("", ""),
        ("Zeichen beim Melden deutlich, jetzt stark, steigt", ""),
        ("Zeichen beim Melden deutlich, am schlimmsten stark, jetzt deutlich, lässt nach", ""),
    ]


def test_for_a_rule_that_raises_under_its_bound_the_worst_is_the_lowest() -> None:
    """Its pressing bound lies below, and the value has eased once it is over it again."""
    under = points(raise_over=None, clear_under=None, now_over=None, raise_under=4, clear_over=5, now_under=2)

    assert course_after(under, (1.5, "now"), (0.5, "now"), (2.5, "now"))[1:] == [
        ("raised at 1.5 points, now 0.5 points, falling", ""),
        ("raised at 1.5 points, worst 0.5 points, now 2.5 points", "2 points"),
    ]


def test_what_becomes_more_pressing_or_comes_again_begins_anew() -> None:
    """The figure that was pushed is the one to be told beside the present one."""
    found = course_after(points(), (5, "round"), (4.5, "round"), (7, "now"), (6.5, "now"), (0, "clear"), (4.2, "round"))

    assert [course for course, _ in found] == [
        "",
        "easing",
        "",
        "easing",
        "easing",
        "",
    ]


def test_an_elapsed_alert_says_what_it_was_raised_at_and_how_long_it_is_by_now() -> None:
    """Hours go on: raised at 14 h, now 16 h 30 min."""
    assert course_after(rule(), (14, "round"), (16.5, "round"))[-1] == ("raised at 14 h, now 16 h 30 min", "")


def test_an_alert_of_before_this_was_remembered_goes_on_from_its_present_value() -> None:
    """Nothing is claimed of what is not known."""
    told = Told(points())
    told.tick(50, holds(5))
    [alert] = told.alerts.values()
    told.alerts = {("late-cow", "cow:7"): replace(alert, raised_value=None, worst_value=None)}
    told.tick(60, holds(4.5))
    told.tick(70, holds(6))
    [alert] = told.alerts.values()

    assert (alert.raised_value, alert.worst_value, alert.course) == (4.5, 6, "rising")


def test_an_alert_carries_what_is_to_be_minded_apart_from_the_hints() -> None:
    """Cautions are filled in as the sentence is."""
    told = Told(rule(caution=("Keep clear of {subject}",), look_first=("Is she there?",)))
    told.tick(50, holds())
    [alert] = told.alerts.values()

    assert (alert.caution, alert.look_first) == (("Keep clear of cow 7",), ("Is she there?",))
