"""A rule with one key changed, as replay asks."""

import pytest

from sentinel.flow.rules import Rule, load_rules, with_settings

TEXT = """\
# cows
- rule: box-failures
  measure: failed_attachments
  per: box
  raise_over: 5 failures
  clear_under: 4 failures
  options: {within: 6 h}
  classes:
    - where: {box: 2}
      raise_over: 8 failures
  urgency: now
  say: "Box {box}"
"""


def _rule() -> Rule:
    return load_rules(TEXT, "rules/boxes.yaml")[0][0]


@pytest.mark.parametrize(
    ("key", "value", "changed"),
    [
        ("raise_over", "7 failures", {"raise_over": 7.0}),
        ("options.within", "12 h", {"options": {"within": 43200.0}}),
        ("lasting", "10 min", {"lasting_s": 600}),
        ("clear_under", "", {"clear_under": None}),
        ("urgency", "round", {"urgency": "round"}),
    ],
)
def test_one_key_is_changed_and_all_else_stays(key: str, value: str, changed: dict[str, object]) -> None:
    """The changed rule is the rule with that one thing different, at its old place, and its text names the change."""
    rule, problems = with_settings(_rule(), [(key, value)])

    assert problems == []
    assert rule is not None
    assert rule.text == f"{_rule().text}  # set: {key} = {value or 'nothing'}\n"
    assert rule.model_copy(update={"text": ""}) == _rule().model_copy(update={"text": "", **changed})


def test_a_class_can_be_changed_by_its_number() -> None:
    """`classes.0.raise_over` is the bound of the first class."""
    rule, _ = with_settings(_rule(), [("classes.0.raise_over", "9 failures")])

    assert rule is not None
    assert [one.raise_over for one in rule.classes] == [9.0]


def test_several_keys_are_changed_at_once() -> None:
    """Neither fits without the other, and the second does not undo the first."""
    rule, problems = with_settings(_rule(), [("raise_over", "3 failures"), ("clear_under", "2 failures")])

    assert problems == []
    assert rule is not None
    assert (rule.raise_over, rule.clear_under) == (3.0, 2.0)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("raise_over", "7", 'raise_over: 7: a number of failures needs its word, for example "7 failures"'),
        ("raise_ovr", "7 failures", 'raise_ovr: unknown key (did you mean "raise_over"?)'),
        ("raise_over", "3 failures", "clear_under: 4 failures is past raise_over 3 failures; the alert must end at or "
         "under that bound"),
        ("classes.4.raise_over", "3 failures", "the rule has no 4"),
        ("say.x", "y", "only a key of the rule can be set, for example raise_over"),
    ],
)  # fmt: skip
def test_a_setting_that_cannot_be_is_refused_like_a_line_in_the_file(key: str, value: str, said: str) -> None:
    """What `check` would say of the line is said of the setting, under the setting's own name."""
    rule, problems = with_settings(_rule(), [(key, value)])

    assert (rule, [str(problem) for problem in problems]) == (None, [f"box-failures.{key}: {said}"])
