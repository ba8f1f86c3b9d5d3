"""Where a rule holds: spans from resets and from readings, with every kind of bound."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest
from text_tables import lines, moment, moment_text, table

from sentinel.flow.evaluation.held_readings import Began, Beginnings
from sentinel.flow.evaluation.known_until import known_until
from sentinel.flow.evaluation.series import OPEN
from sentinel.flow.evaluation.spans import Spans, spans
from sentinel.flow.evaluation.verdicts import judge
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import NO_CHART, Measure, Readings
from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.tables import ChoreFacts, FarmFacts, Tables

VISITS = """
    cow  start    box  outcome
    7    00:00    1    milked
    7    08:00    1    milked
    7    1d02:00  2    milked
"""


def rule(measure: str = "hours_since_milking", per: str = "cow", **more: Any) -> Rule:
    """A rule with bounds in the measure's unit."""
    return Rule(name="r", measure=measure, per=per, unit=measure_named(measure).unit, **more)


def held(found: Spans, columns: str = "subject start end") -> list[list[str]]:
    """The spans as a text table; `-` is a moment that never comes."""
    names = columns.split()
    rows = zip(*(found.held[name] for name in names), strict=True)
    return [names, *([_cell(one) for one in row] for row in rows)]


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return value
    return "-" if value == OPEN else moment_text(int(value)) if value > 1_000_000 else f"{value:g}"


def elapsed(given: Rule, visits: str = VISITS, cows: str = "", **farm: Any) -> Spans:
    """The spans of a rule on an elapsed measure."""
    tables = Tables(visits=table("visits", visits), farm=FarmFacts(**farm))
    if cows:
        tables = Tables(visits=tables.visits, cows=table("cows", cows), farm=tables.farm)
    return spans(given, measure_named(given.measure), tables)


READ = Measure("read", "ratio", ("quarter",), "", "", "", lambda tables, per, options: Readings(tables.tank), NO_CHART)  # type: ignore[arg-type]


def sampled(given: Rule, readings: str, standing: Beginnings | None = None, cows: str = "") -> Spans:
    """The spans of a rule on readings written as `subject at value`."""
    head, *rows = lines(readings)
    assert head == ["subject", "at", "value"]
    frame = pd.DataFrame(
        {
            "subject": [row[0] for row in rows],
            "at": [moment(row[1]) for row in rows],
            "value": [float("nan") if row[2] == "-" else float(row[2]) for row in rows],
            "why": ["not read" if row[2] == "-" else "" for row in rows],
        }
    )
    tables = Tables(tank=frame, cows=table("cows", cows) if cows else Tables().cows)
    return spans(given, READ, tables, standing)


# --- elapsed ---------------------------------------------------------------------------------------------


def test_a_span_begins_a_second_past_the_bound_and_ends_with_the_next_reset() -> None:
    """Strictly over: at 14 h the cow is not late yet."""
    assert held(elapsed(rule(raise_over=14))) == lines("""
        subject  start       end
        cow:7    22:00:01    1d02:00
        cow:7    1d16:00:01  22d02:00
    """)


def test_a_cow_not_milked_for_three_weeks_is_no_longer_counted() -> None:
    """The last span ends with the measure's reach, as if she had never been milked."""
    assert held(elapsed(rule(raise_over=14)), "end")[-1] == ["22d02:00"]


def test_lasting_puts_the_start_off_and_since_stays_where_the_bound_was_passed() -> None:
    """A condition that must hold for four hours ends before it began when the reset comes first."""
    assert held(elapsed(rule(raise_over=14, lasting_s=4 * 3600)), "subject start end since") == lines("""
        subject  start       end       since
        cow:7    1d20:00:01  22d02:00  1d16:00
    """)


def test_a_pressing_bound_says_from_when_it_is_now() -> None:
    """Before it the rule's own urgency counts, and `log` is less than `round`."""
    given = rule(raise_over=14, now_over=17)
    assert held(elapsed(given), "start now_from round_from") == lines("""
        start       now_from    round_from
        22:00:01    1d01:00:01  22:00:01
        1d16:00:01  1d19:00:01  1d16:00:01
    """)
    assert held(elapsed(given.model_copy(update={"urgency": "log"})), "round_from")[1] == ["1d01:00:01"]
    assert held(elapsed(given.model_copy(update={"urgency": "now"})), "now_from")[1] == ["22:00:01"]


def test_a_class_has_its_own_bound_from_the_moment_a_cow_is_in_it() -> None:
    """Put on one milking a day at 20:00, she is not late at 22:00, and no later either."""
    given = rule(raise_over=14, classes=(RuleClass(where={"milkings_allowed": (1.0,)}, raise_over=26),))
    cows = "cow  from   milkings_allowed\n7    20:00  1"
    assert held(elapsed(given, cows=cows), "start end bound") == lines("""
        start       end       bound
        2d04:00:01  22d02:00  26
    """)


def test_a_span_goes_on_when_a_change_of_the_herd_list_leaves_the_rule_holding() -> None:
    """One stretch, not two, and the first bound that was passed."""
    given = rule(raise_over=14, classes=(RuleClass(where={"group": ("calm",)}, urgency="now"),))
    cows = "cow  from   group\n7    23:00  calm\n7    1d01:00  wild"
    assert held(elapsed(given, cows=cows), "start end now_from")[:2] == lines("""
        start     end      now_from
        22:00:01  1d02:00  23:00
    """)


def test_a_where_lets_go_of_a_cow_and_takes_her_up_again() -> None:
    """Dry from 23:00 to 01:00, she is late before and after."""
    cows = "cow  from     status\n7    23:00    dry\n7    1d01:00  milking"
    assert held(elapsed(rule(raise_over=14, where={"status": ("milking",)}), cows=cows))[:3] == lines("""
        subject  start     end
        cow:7    22:00:01  23:00
        cow:7    1d01:00   1d02:00
    """)


def test_counted_events_pass_a_bound_with_the_event_that_is_one_too_many() -> None:
    """More than one milking since the filter is the second."""
    given = rule("milkings_since_filter", "box", raise_over=1)
    assert held(elapsed(given, boxes=("1",), watched_since=moment("00:00"))) == lines("subject  start  end")

    more = VISITS + "    8    09:00    1    milked\n    9    10:00    1    milked\n"
    assert held(elapsed(given, more, boxes=("1",), watched_since=moment("00:00"))) == lines("""
        subject  start  end
        box:1    09:00  -
    """)


def test_only_the_last_reset_and_later_ones_are_gone_through_when_asked() -> None:
    """A look at 23:00 needs the reset of 08:00 and what follows."""
    found = spans(rule(raise_over=14), measure_named("hours_since_milking"), Tables(visits=table("visits", VISITS)),
                  since=moment("23:00"))  # fmt: skip
    assert list(found.facts["at"].map(moment_text)) == ["08:00", "1d02:00"]


# --- sampled ---------------------------------------------------------------------------------------------

WAVERING = """
    subject  at     value
    q:1      01:00  1.0
    q:1      02:00  1.3
    q:1      03:00  1.15
    q:1      04:00  -
    q:1      05:00  1.25
    q:1      06:00  1.1
    q:1      07:00  1.05
    q:2      02:00  1.5
"""


def reading(**more: Any) -> Rule:
    """A rule on readings."""
    return Rule(name="r", measure="conductivity_ratio", per="quarter", unit="ratio", **more)


def test_a_reading_over_the_bound_begins_a_span_and_one_not_over_it_ends_it() -> None:
    """A missing reading changes nothing; a subject whose last reading is over goes on."""
    assert held(sampled(reading(raise_over=1.2), WAVERING)) == lines("""
        subject  start  end
        q:1      02:00  03:00
        q:1      05:00  06:00
        q:2      02:00  -
    """)


def test_between_the_bounds_it_goes_on_as_it_was() -> None:
    """Only a reading under the clearing bound ends it: 1.1 is not under 1.1."""
    assert held(sampled(reading(raise_over=1.2, clear_under=1.1), WAVERING)) == lines("""
        subject  start  end
        q:1      02:00  07:00
        q:2      02:00  -
    """)


def test_a_rule_may_raise_under_its_bound() -> None:
    """Then a reading that is not under it ends the span, and `now_under` presses further down."""
    found = sampled(reading(raise_under=1.2, now_under=1.06), WAVERING)
    assert held(found, "subject start end now_from bound") == lines("""
        subject  start  end    now_from  bound
        q:1      01:00  02:00  01:00     1.2
        q:1      03:00  05:00  -         1.2
        q:1      06:00  -      07:00     1.2
    """)


def test_readings_must_last() -> None:
    """Begun at 02:00 and over at 03:00, it does not last 90 minutes."""
    assert held(sampled(reading(raise_over=1.2, lasting_s=5400), WAVERING), "subject start since") == lines("""
        subject  start  since
        q:2      03:30  02:00
    """)


@pytest.mark.parametrize(
    ("since", "expected"),
    [
        ("00:30", [["subject", "start", "end"], ["q:1", "01:00", "03:00"]]),
        ("01:30", [["subject", "start", "end"]]),
    ],
)
def test_what_held_before_the_readings_begin_goes_on(since: str, expected: list[list[str]]) -> None:
    """A standing alert from before keeps holding between the bounds; one from within is decided by its readings."""
    readings = "subject  at     value\nq:1  01:00  1.15\nq:1  02:00  1.15\nq:1  03:00  1.0"
    found = sampled(reading(raise_over=1.2, clear_under=1.1), readings, {"q:1": Began(moment(since))})
    assert held(found) == expected


def test_the_value_at_a_moment_is_the_last_reading_that_told_something() -> None:
    """At 04:30 that is the one of 03:00."""
    found = sampled(reading(raise_over=1.2, clear_under=1.1), WAVERING)
    rows = found.held["row"]
    at = pd.Series([moment("04:30"), moment("01:59")]).to_numpy()
    assert [f"{v:g}" for v in found.values(rows, at)] == ["1.15", "nan"]


# --- verdicts --------------------------------------------------------------------------------------------


def verdicts(given: Rule, known: str | None, at: str, visits: str = VISITS) -> list[list[str]]:
    """What a rule says at a moment, with the feed known until another."""
    tables = Tables(visits=table("visits", visits))
    told = judge(
        given,
        measure_named(given.measure),
        tables,
        {"visits": None if known is None else moment(known)},
        moment(at),
        {},
    )
    return [[v.subject, str(v.state), "-" if v.value is None else f"{v.value:g}", v.urgency if v.since else v.why]
            for v in told.verdicts]  # fmt: skip


@pytest.mark.parametrize(
    ("known", "at", "said"),
    [
        ("1d01:00", "1d01:00", [["cow:7", "holds", "17", "round"]]),
        ("21:00", "1d01:00", [["cow:7", "unknown", "13", "the export has not come that far"]]),
        ("21:00", "21:30", [["cow:7", "clear", "13", ""]]),
        ("1d01:30", "1d02:30", [["cow:7", "clear", "0", ""]]),
        (None, "1d01:00", []),
    ],
)
def test_a_rule_has_three_answers(known: str | None, at: str, said: list[list[str]]) -> None:
    """It holds, is clear, or cannot be told past the known-until; a reset is certain as soon as it is known."""
    assert verdicts(rule(raise_over=14), known, at) == said


MAYBE = """
    cow  start  outcome
    7    00:00  milked
    7    20:00  unknown
    7    23:00  refused
    9    23:30  milked
"""
"""She was milked at midnight, and at 20:00 she may have been: how that visit ended could not be read."""


@pytest.mark.parametrize(
    ("known", "said"),
    [
        ("14:00", "clear 14"),
        ("14:00:01", "holds 14.0003"),
        ("19:59:59", "holds 19.9997"),
        ("20:00", "unknown how a visit ended could not be read"),
        ("1d10:00", "unknown how a visit ended could not be read"),
        ("1d10:00:01", "holds 14.0003"),  # late even if she was milked at 20:00
    ],
)
def test_a_visit_that_may_have_been_a_milking_makes_it_unknown(known: str, said: str) -> None:
    """From then on, until she is late whichever it was; the value is what it is at the least."""
    [mine] = [row for row in verdicts(rule(raise_over=14), known, known, MAYBE) if row[0] == "cow:7"]
    assert f"{mine[1]} {mine[3] if mine[1] == 'unknown' else mine[2]}" == said


def test_a_bound_passed_before_a_doubtful_visit_is_one_alert_with_that_passed_after_it() -> None:
    """Unknown ends nothing: both stretches are over when she is surely milked, and hold since the first."""
    found = elapsed(rule(raise_over=14), MAYBE + "    7    2d00:00  milked\n")

    assert held(found, "subject start end over since next_reset") == lines("""
        subject  start       end      over     since    next_reset
        cow:7    14:00:01    20:00    2d00:00  14:00    2d00:00
        cow:7    1d10:00:01  2d00:00  2d00:00  14:00    2d00:00
        cow:7    2d14:00:01  23d00:00  23d00:00  2d14:00  -
        cow:9    1d13:30:01  21d23:30  21d23:30  1d13:30  -
        """)
    assert [moment_text(at) for at in (found.unsure["start"][0], found.unsure["end"][0])] == ["20:00", "1d10:00:01"]


UNREAD = """
    tab     who  begins  ends   number  line
    visits  -    15:00   16:00  2       7
    visits  8    15:00   23:00  1       9
"""
"""Two visits of somebody between 15 and 16 o'clock could not be read, and one of cow 8."""


@pytest.mark.parametrize(
    ("at", "urgency", "unread"),
    [
        ("14:30", "round", None),  # what could not be read was later
        ("18:30", "round", 2),  # past 18 h, but she may have been milked at 16:00
        ("1d10:00", "round", 2),
        ("1d10:00:01", "now", None),  # not even a milking at 16:00 helps her any more
    ],
)
def test_what_could_not_be_read_keeps_an_alert_from_pressing(at: str, urgency: str, unread: int | None) -> None:
    """For as long as it might refute that she is very late she is listed and not pushed for it, and it says why."""
    tables = Tables(
        visits=table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  1d10:00  milked"),
        unread=table("unread", UNREAD),
    )
    given = rule(raise_over=14, now_over=18, urgency="round")
    [mine] = [
        one
        for one in judge(given, measure_named(given.measure), tables, {"visits": moment(at)}, moment(at)).verdicts
        if one.subject == "cow:7"
    ]
    assert (str(mine.state), mine.urgency) == ("holds", urgency)
    assert mine.facts.get("unread", {}).get("number") == unread


def test_what_could_not_be_read_matters_to_spans_that_are_joined_too() -> None:
    """Her group changed while she was late: one span, and its pushing waits for the same reason."""
    tables = Tables(
        visits=table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  16:30  milked"),
        cows=table("cows", "cow  from  group\n 7  -1d00:00  a\n 7  15:00  b"),
        unread=table("unread", UNREAD),
    )
    given = rule(raise_over=14, now_over=18, urgency="round", where={"group": ("a", "b")})
    found = spans(given, measure_named(given.measure), tables)

    assert held(found, "subject start now_from") == lines("""
        subject  start       now_from
        cow:7    14:00:01    1d10:00:01
        cow:9    1d06:30:01  1d10:30:01
        """)


def test_a_table_without_a_feed_bounds_no_rule_that_people_tell_of_too() -> None:
    """What people record is known at once; of two tables the lesser bounds."""
    both = measure_named("milkings_since_filter")
    assert known_until(both, {}, 50) == 50
    assert known_until(both, {"visits": 40}, 50) == 40
    assert known_until(both, {"visits": 40, "box_log": 30}, 50) == 30
    assert known_until(both, {"visits": 40, "box_log": None}, 50) is None
    assert known_until(both, {"tank": None}, 50) == 50


def test_without_a_feed_nothing_is_known_of_visits() -> None:
    """Before the first file of a feed without a map no box can be called quiet."""
    for name in ("box_quiet_min", "hours_since_milking", "milk_temperature_C"):
        assert known_until(measure_named(name), {}, 50) is None


def test_a_chore_done_by_hand_is_due_to_the_second() -> None:
    """With nothing to wait for, the next moment at which the verdict changes is known."""
    given = rule("hours_since_chore", "chore", raise_over=12, now_over=14)
    tables = Tables(farm=FarmFacts(chores=(ChoreFacts("wire", "east"),), watched_since=moment("00:00")))
    measure = measure_named("hours_since_chore")
    dues = [judge(given, measure, tables, {}, moment(at)).due for at in ("01:00", "12:00:01", "14:00:01")]
    assert [due and moment_text(due) for due in dues] == ["12:00:01", "14:00:01", None]


def test_figures_of_a_verdict_are_plain_values() -> None:
    """They fill the rule's sentence and go into the store as JSON; the bound is the one that counted."""
    tables = Tables(visits=table("visits", VISITS))
    known: dict[str, int | None] = {"visits": moment("1d01:00")}
    [one] = judge(rule(raise_over=14), measure_named("hours_since_milking"), tables, known, moment("1d01:00")).verdicts
    assert dict(one.facts) == {
        "cow": "7", "box": "1", "subject": "cow:7", "value": 17.0, "bound": 14.0, "reading_at": moment("08:00"),
    }  # fmt: skip
    assert {type(value) for value in one.facts.values()} <= {str, float, int}
