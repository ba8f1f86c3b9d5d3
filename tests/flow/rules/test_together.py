"""What can only be seen of all rules together."""

from sentinel.flow.model import Source
from sentinel.flow.rules import Rule, check_together


def _rule(name: str, *covered_by: str, line: int = 1) -> Rule:
    text = f"- rule: {name}\n  measure: m\n  covered_by: [{', '.join(covered_by)}]\n"
    source = Source(f"rules/{name}.yaml", line, 3)
    return Rule(name=name, measure="m", per="cow", raise_over=1.0, covered_by=covered_by, source=source, text=text)


def _told(*rules: Rule) -> list[str]:
    return [str(problem) for problem in check_together(rules)]


def test_rules_that_fit_together_have_no_problem() -> None:
    """Covers that exist, in any order, are right."""
    assert (
        _told(_rule("late-cow", "box-quiet", "feed-quiet"), _rule("box-quiet", "feed-quiet"), _rule("feed-quiet")) == []
    )


def test_a_name_used_twice_is_told_at_the_second_with_the_place_of_the_first() -> None:
    """Two rules of one name in two files cannot be told apart in an alert."""
    second = _rule("late-cow", line=9).model_copy(update={"source": Source("rules/other.yaml", 9, 3)})

    assert _told(_rule("late-cow"), second) == [
        "rules/other.yaml:9:3: rule: late-cow is already the name of the rule at rules/late-cow.yaml:1:3; "
        "give it another"
    ]


def test_an_unknown_cover_is_told_where_it_is_written() -> None:
    """A misspelt cover would silently hold back nothing."""
    assert _told(_rule("late-cow", "box-quit", line=5), _rule("box-quiet")) == [
        'rules/late-cow.yaml:7:3: covered_by: "box-quit" is not a rule (did you mean "box-quiet"?)'
    ]


def test_rules_that_cover_each_other_are_told() -> None:
    """In a ring of covers every alert would wait for another, and nobody would be told."""
    told = _told(_rule("a", "b"), _rule("b", "c"), _rule("c", "a"), _rule("d", "a"))

    assert told[0] == (
        "rules/a.yaml:3:3: covered_by: a is covered by b is covered by c is covered by a: then nobody would be told; "
        "take one out"
    )
    assert len(told) == 3
