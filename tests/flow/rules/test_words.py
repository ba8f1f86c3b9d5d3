"""A rule's sentence: which places it may have, and filling them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.language import english, fill
from sentinel.flow.model import State, Verdict
from sentinel.flow.rules import Rule, look_first, say
from sentinel.flow.rules.words import sentence_faults
from sentinel.flow.subjects import subject_words

AT = 1_772_539_200  # 2026-03-03 12:00 UTC, a Tuesday


def _rule(sentence: str, unit: str = "h", look: tuple[str, ...] = ()) -> Rule:
    return Rule(name="r", measure="m", per="cow", unit=unit, raise_over=14.0, say=sentence, look_first=look)


def _verdict(subject: str, value: float | None = 14.5, **facts: object) -> Verdict:
    return Verdict("r", subject, State.HOLDS, value, AT - 1800, "round", facts)


def test_a_sentence_says_whom_how_much_past_which_bound_since_when() -> None:
    """The value and the bound read as people write them, the moment in the farm's zone."""
    rule = _rule("Cow {cow} not milked for {value} (bound {bound}), since {since}", look=("Is {cow} in the yard?",))
    verdict = _verdict("cow:217")

    assert (
        say(rule, verdict, AT, english("Europe/Athens"))
        == "Cow 217 not milked for 14 h 30 min (bound 14 h), since 13:30"
    )
    assert look_first(rule, verdict, AT, english("Europe/Athens")) == ("Is 217 in the yard?",)


def test_the_figures_behind_the_value_are_said_in_the_farms_decimal_mark() -> None:
    """Facts fill the sentence too; whole numbers have no decimals, lists are told with commas."""
    rule = _rule("{conductivity} against {baseline}, {failed} of {visits}: {cows}", "%")
    verdict = _verdict("quarter:217/LF", conductivity=5.874, baseline=5.0, failed=3, visits=8, cows=["1", "2"])

    assert say(rule, verdict, AT, english("UTC", ",")) == "5,87 against 5, 3 of 8: 1, 2"


def test_a_bound_of_a_class_is_said_instead_of_the_rules() -> None:
    """When a verdict carries the bound that applied, the sentence says that one."""
    assert say(_rule("over {bound}"), _verdict("cow:1", bound=26.0), AT, english("UTC")) == "over 26 h"


def test_what_is_missing_is_never_said() -> None:
    """A sentence never fails and never shows a hole: of what is known, whom it is about is always said."""
    assert say(_rule("{value} {reason} {box}"), _verdict("cow:1", None, box=None), AT, english("UTC")) == "Cow 1"
    assert say(_rule("{value} {reason} {box}"), _verdict("cow:1", box="2"), AT, english("UTC")) == "Cow 1: 14 h 30 min"


@pytest.mark.parametrize(
    ("subject", "words"),
    [
        ("cow:217", "cow 217"),
        ("quarter:217/RR", "right rear quarter of cow 217"),
        ("herd", "the herd"),
        ("chore:wash/2", "wash 2"),
        ("chore:tank", "tank"),
        ("file:visits/day/a.csv", "file day/a.csv of visits"),
        ("unread:visits/Milk", "what could not be read of visits (Milk)"),
        ("feed:visits", "feed visits"),
    ],
)
def test_a_subject_is_said_as_people_say_it(subject: str, words: str) -> None:
    """`{subject}` reads as words, not as the name that the program uses."""
    assert subject_words(subject) == words
    assert say(_rule("{subject}"), _verdict(subject), AT, english("UTC")) == words


@pytest.mark.parametrize(("ago_h", "words"), [(1, "11:00"), (20, "Mon 16:00"), (24 * 9, "22 Feb 12:00")])
def test_a_moment_is_said_as_short_as_it_is_clear(ago_h: int, words: str) -> None:
    """Today only the time, this week the day, before that the date."""
    assert english("UTC").time(AT - ago_h * 3600, AT) == words


@pytest.mark.parametrize(
    ("sentence", "message"),
    [
        ("{value} and [no place]", "needs a place"),
        ("{value} and [{value", "must enclose"),
        ("{value} and [, {value}", "must be closed"),
        ("{value} and [a [{value}] b]", "holds no other part"),
        ("{value|hour}", "the word for one and for more"),
        ("[{valeu}|nothing]", 'did you mean "value"'),
    ],
)
def test_a_part_or_a_count_that_is_written_wrong_is_told_when_the_rule_is_read(sentence: str, message: str) -> None:
    """Whoever writes a rule hears of it from check, not from an alert."""
    assert any(message in fault.message for fault in sentence_faults(sentence, ("value",)))
    assert sentence_faults("[{value}|unknown] of [{value|cow|cows}]", ("value",)) == []


@pytest.mark.parametrize("trick", ["{value.__class__}", "{value!r}", "{value:>99999}", "{0}", "{}", "{value", "a}"])
def test_a_sentence_cannot_reach_into_the_program(trick: str) -> None:
    """Formats, attributes and lookups are refused when a rule is read, and left as they stand if one is filled."""
    assert sentence_faults(trick, ("value",))
    assert fill(trick, {"value": "14 h"}) == trick


@given(st.text(), st.dictionaries(st.from_regex(r"\A[a-z][a-z0-9_]*\Z"), st.text()))
def test_filling_never_fails_and_fills_only_once(text: str, words: dict[str, str]) -> None:
    """Whatever stands in the sentence or in its words, words are put in as they are and are not filled again."""
    filled = fill(text + "{a}", words | {"a": "{value} {a}"})

    assert filled.endswith("{value} {a}")
