"""What a draft asks, and what becomes of the answers."""

from __future__ import annotations

from sentinel.flow.feeds import load_feed_map
from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.questions import Question, listed
from sentinel.flow.model import Export

QUARTERS = ("ka", "ku", "pa", "pu")
ROWS = "".join(
    f"{7 + n % 9};0{3 + n % 2}.04.2026 06:{n:02d};{9 + n % 4},5;zz{n % 2};"
    + ";".join(["2,1", "2,4", "2,9", "3,1"])
    + "\n"
    for n in range(40)
)
EXPORT = Export(
    "v.csv", ("Cow;Start;Milk;Result;" + ";".join(f"Yield {q}" for q in QUARTERS) + "\n" + ROWS).encode(), 0
)


def asked(answers: dict[str, str]) -> dict[str, Question]:
    """The questions by key."""
    return {one.key: one for one in drafted([EXPORT], "Europe/Dublin", answers).questions}


def test_what_the_figures_cannot_tell_is_asked_with_sample_values() -> None:
    """Kilograms or litres, the zone, each word, and which quarter is which."""
    questions = asked({})

    assert {"unit:visits.milk_kg", "zone", "pace", "word:visits.outcome:zz0", "quarters"} <= set(questions)
    unit = questions["unit:visits.milk_kg"]
    assert [choice for choice, _ in unit.choices][:2] == ["kg", "l"]
    assert "9,5" in unit.text


def test_what_was_answered_is_in_the_map_and_asked_no_more() -> None:
    """All answered, no question is left, and the map loads."""
    answers: dict[str, str] = {}
    for _ in range(40):
        questions = asked(answers)
        if not questions:
            break
        key, question = next(iter(questions.items()))
        answers[key] = question.choices[0][0]
    text = drafted([EXPORT], "Europe/Dublin", {**answers, "unit:visits.milk_kg": "l", "density": "1.03"}).text

    assert asked(answers) == {}
    assert "QUESTION" not in text
    assert "milk_kg: {column: Milk, unit: l, density_kg_per_l: 1.03}" in text
    feed, problems = load_feed_map(text, "v.yaml")
    assert problems == [], text
    assert feed is not None


def test_quarters_can_be_named_by_hand() -> None:
    """In any order."""
    named = {f"quarter:{label}": quarter for label, quarter in zip(QUARTERS, ("RR", "LR", "RF", "LF"), strict=True)}

    assert "each: {LF: pu, RF: pa, LR: ku, RR: ka}   # a row" in drafted([EXPORT], "UTC", named).text


def test_a_column_that_is_none_of_the_file_is_left_out() -> None:
    """As a person said."""
    text = drafted([EXPORT], "UTC", {"column:visits.outcome": "-"}).text

    assert "# outcome: ...   # not found" in text


def test_choices_are_listed_in_words() -> None:
    """One, two, three."""
    assert [listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])] == ["a", "a or b", "a, b or c"]
