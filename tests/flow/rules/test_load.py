"""From the text of a rules file to rules, and to everything that is wrong with it at once."""

import pandas as pd
import pytest

from sentinel.flow.measures.base.facts import BOX, FAILED, VISITS
from sentinel.flow.measures.base.shape import NO_CHART, Measure, Option, Readings
from sentinel.flow.rules import Rule, RuleClass, load_rules
from sentinel.flow.rules.where import read_where


def _nothing(*_: object) -> Readings:
    return Readings(pd.DataFrame({"subject": [], "at": [], "value": [], "why": []}))


MEASURES = (
    Measure("hours_since_milking", "h", ("cow",), "", "", "", _nothing, NO_CHART, facts=(BOX,)),
    Measure(
        "failed_attachments",
        "failures",
        ("box", "cow"),
        "",
        "",
        "",
        _nothing,
        NO_CHART,
        options=(Option("within", "h", 6 * 3600, "window"),),
        facts=(FAILED, VISITS),
    ),
    Measure("yield_change", "%", ("cow",), "", "", "", _nothing, NO_CHART),
)


def _load(text: str) -> tuple[list[Rule], list[str]]:
    rules, problems = load_rules(text, "rules/cows.yaml", MEASURES)
    return rules, [str(problem) for problem in problems]


def _rule(*lines: str, measure: str = "hours_since_milking", bound: str = "raise_over: 14 h") -> str:
    """A whole rule around the lines that a test is about."""
    needed = {"urgency": "urgency: round", "say": "say: Cow {cow}"}
    given = {line.split(":")[0] for line in lines}
    body = [bound, *lines, *(text for key, text in needed.items() if key not in given)]
    return "\n".join(["- rule: late-cow", f"  measure: {measure}", *(f"  {line}" for line in body if line)])


def test_a_rule_becomes_numbers_in_the_measures_unit() -> None:
    """Bounds come in the measure's unit, durations in seconds, names as text, what is left out as usual."""
    text = _rule(
        "clear_under: 780 min",
        "now_over: 18 h",
        "lasting: 10 min",
        "where: {status: milking, group: [east, west], lactation: 2, cow: 217}",
        "classes:",
        "  - where: {milkings_allowed: 1}",
        "    raise_over: 1 d 2 h",
        "    urgency: log",
        "covered_by: [box-quiet]",
        "again_within: 2 h",
        "remind_every: 1 h",
        "over_after: never",
        'look_first: ["Is {cow} in the yard?"]',
    )

    (rule,), problems = _load(text)

    assert problems == []
    assert rule == Rule(
        name="late-cow",
        measure="hours_since_milking",
        per="cow",
        unit="h",
        raise_over=14.0,
        clear_under=13.0,
        now_over=18.0,
        lasting_s=600,
        where={"status": ("milking",), "group": ("east", "west"), "lactation": (2.0,), "cow": ("217",)},
        classes=(RuleClass(where={"milkings_allowed": (1.0,)}, raise_over=26.0, urgency="log"),),
        urgency="round",
        covered_by=("box-quiet",),
        again_within_s=7200,
        remind_every_s=3600,
        remind_most=3,
        over_after_s=0,
        say="Cow {cow}",
        look_first=("Is {cow} in the yard?",),
        findings=("seen to", "nothing found"),
        source=rule.source,
        text=text + "\n",
    )
    assert str(rule.source) == "rules/cows.yaml:1:3"


def test_settings_of_a_measure_are_durations_in_seconds() -> None:
    """`within: 90 min` reaches the measure as 5400, whatever unit the measure names."""
    (rule,), problems = _load(
        _rule("per: box", "options: {within: 90 min}", "say: Box {box}", measure="failed_attachments",
              bound="raise_over: 5 failures")
    )  # fmt: skip

    assert (rule.options, rule.per, problems) == ({"within": 5400.0}, "box", [])


def test_everything_wrong_in_a_file_is_told_at_once_with_its_place() -> None:
    """Misspelt names get a suggestion, and one bad line hides no other."""
    rules, problems = _load(
        """\
- rule: Late Cow
  measure: hours_since_milkin
  raise_ovr: 14 h
  urgency: rond
  say: 5
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14
  clear_over: 15 h
  where: {statu: milking}
  urgency: round
  say: "Cow {cw}"
- rule: fine
  measure: hours_since_milking
  raise_over: 14 h
  urgency: now
  say: "Cow {cow}"
"""
    )

    assert [rule.name for rule in rules] == ["fine"]
    assert problems == [
        'rules/cows.yaml:1:3: rule: "Late Cow" should be small letters, digits and hyphens, for example "late-cow"',
        'rules/cows.yaml:2:3: measure: "hours_since_milkin" is not a measure (did you mean "hours_since_milking"?)',
        'rules/cows.yaml:3:3: raise_ovr: unknown key (did you mean "raise_over"?)',
        "rules/cows.yaml:4:3: urgency: should be 'now', 'round' or 'log' (found 'rond')",
        "rules/cows.yaml:5:3: say: should be text (found 5)",
        'rules/cows.yaml:8:3: raise_over: 14: a duration needs its unit, for example "14 h"',
        "rules/cows.yaml:9:3: clear_over: goes with raise_under; with raise_over write clear_under",
        'rules/cows.yaml:10:11: where.statu: is not known of a cow (did you mean "status"?)',
        'rules/cows.yaml:12:3: say: {cw} is not known here (did you mean "cow"?)',
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (_rule(bound=""), '1:3: raise_over: is missing; give a bound such as "raise_over: 14 h", or raise_under'),
        (_rule("raise_under: 3 h"), "4:3: raise_under: a rule has either raise_over or raise_under, not both; "
         "take one out"),
        (_rule("clear_under: 15 h"), "4:3: clear_under: 15 h is past raise_over 14 h; the alert must end at or under "
         "that bound"),
        (_rule("now_over: 14 h"), "4:3: now_over: 14 h must be over raise_over 14 h, or nothing is left to press"),
        (_rule("clear_over: -30 %", measure="yield_change", bound="raise_under: -20 %"),
         "4:3: clear_over: -30 % is past raise_under -20 %; the alert must end at or over that bound"),
        (_rule("now_over: 18 h", "urgency: now"), "4:3: now_over: changes nothing, as the urgency is already now; "
         "take it out or make the urgency round"),
        (_rule("lasting: 20"), '4:3: lasting: 20: a duration needs its unit, for example "20 h"'),
        (_rule("lasting: never"), '4:3: lasting: never: this is not a duration; write it like "14 h"'),
        (_rule("where: {status: milkin}"), '4:11: where.status: "milkin" is not a word used here (did you mean '
         '"milking"?)'),
        (_rule("where: {lactation: first}"), '4:11: where.lactation: "first" should be a number'),
        (_rule("classes:", "  - where: {lactation: 1}", "    raise_under: 3 h"),
         "6:7: classes.0.raise_under: the rule has raise_over; its classes must have raise_over too"),
        (_rule("classes:", "  - raise_over: 20 h"), '5:7: classes.0: where: is missing; say which subjects, for '
         'example "where: {lactation: 1}"'),
        (_rule("classes:", "  - where: {lactation: 1}", "    now_over: 13 h"),
         "6:7: classes.0.now_over: 13 h must be over raise_over 14 h, or nothing is left to press"),
        (_rule("per: herd"), '4:3: per: "herd" is not possible (known here: cow)'),
        (_rule("options: {within: 6 h}"), "4:13: options.within: is not a setting of hours_since_milking "
         "(it has none)"),
        (_rule("covered_by: [late-cow]"), "4:3: covered_by: a rule cannot cover itself; take its own name out"),
        (_rule("findings: []"), "4:3: findings: is empty; give at least one, or leave the key out"),
        (_rule("remind_most: 3 times"), '4:3: remind_most: needs remind_every, for example "remind_every: 2 h"'),
        (_rule("remind_every: 1 h", "remind_most: 3"), '5:3: remind_most: 3: a number of times needs its word, for '
         'example "3 times"'),
        (_rule('say: "{value:>9}"'), "4:3: say: a brace must enclose one of the names to fill in, such as {value}"),
        (_rule('say: "{quarter}"'), "4:3: say: {quarter} is not known here (known here: subject, value, bound, since, "
         "cow, box)"),
        (_rule('look_first: ["{failed}?"]'), "4:16: look_first.0: {failed} is not known here (known here: subject, "
         "value, bound, since, cow, box)"),
        (_rule(measure="failed_attachments", bound="raise_over: 5 failures"),
         "1:3: per: is missing; failed_attachments can be taken per box or per cow"),
        ("rule: late-cow", '1:1: a rules file is a list; begin each rule with "- rule: its-name"'),
        ("- late-cow", '1:3: this is not a rule; a rule begins with "- rule: its-name"'),
    ],
)  # fmt: skip
def test_one_thing_wrong_is_told_in_one_sentence(text: str, said: str) -> None:
    """Each mistake has its place, what is wrong, and what would be right; the rule is left out."""
    rules, problems = _load(text)

    assert (rules, problems) == ([], [f"rules/cows.yaml:{said}"])


def test_a_key_written_twice_is_refused() -> None:
    """YAML that gives one key two values is an error at the second, not a guess."""
    rules, problems = _load(_rule("raise_over: 15 h"))

    assert rules == []
    assert problems[0].startswith("rules/cows.yaml:4:3: this is not valid YAML: found duplicate key")


def test_a_class_with_its_own_bound_is_free_of_the_rules_other_bounds() -> None:
    """A class that raises later than the rule presses is right: the pressing bound was meant for the other bound."""
    (rule,), problems = _load(_rule("now_over: 18 h", "classes:", "  - where: {lactation: 1}", "    raise_over: 26 h"))

    assert problems == []
    assert (rule.classes[0].raise_over, rule.classes[0].now_over) == (26.0, None)


def test_a_rule_keeps_its_own_text_without_the_comments_of_the_next() -> None:
    """The text by which an edit is told from the last one holds the rule's own lines and comments only."""
    first = _rule("# hers")
    text = f"# the file\n\n{first}\n\n# about the next\n{_rule().replace('late-cow', 'other')}\n"

    rules, _ = _load(text)

    assert [rule.text for rule in rules] == [first + "\n", _rule().replace("late-cow", "other") + "\n"]
    assert [rule.source.line for rule in rules] == [3, 11]


def test_a_file_of_comments_has_no_rules_and_no_problem() -> None:
    """A rules file that is empty, or all commented out, is right."""
    assert _load("# nothing yet\n") == ([], [])


def test_yes_and_no_may_be_written_as_true_and_false() -> None:
    """An editor may turn one into the other; they mean the same of a chore that the grazing plan names."""
    read = [read_where({"planned": value}, "chore")[0] for value in ("yes", True, "no", False)]
    assert read == [{"planned": ("yes",)}, {"planned": ("yes",)}, {"planned": ("no",)}, {"planned": ("no",)}]
