"""One value of a rule written into its file, and not a byte besides."""

from __future__ import annotations

from pathlib import Path

import pytest

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import Entry
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tuning.edit import CannotWrite, Changed, Prepared, changes_in, edited, entry_body, undo_of
from sentinel.flow.tuning.values import fitted

SHIPPED = sorted((Path(__file__).parents[3] / "rules").glob("*.yaml"))
TEXT = """\
# Kühe, die nicht kommen
- rule: late-cow   # of the yard
  measure: hours_since_milking
  raise_over:   "14 h"     # common practice, no source
  now_over: 18 h
  classes:
    - where: {milkings_allowed: 1}
      raise_over: 26 h  # once a day
  urgency: round
  say: "Cow {cow}"

- {rule: other, measure: hours_since_milking, raise_over: 14 h, urgency: round, say: "x"}
"""


def rule(name: str, text: str = TEXT) -> Rule:
    """One of the rules of a text."""
    return next(
        (one for one in load_rules(text, "rules/cows.yaml")[0] if one.name == name),
        Rule(name=name, measure="hours_since_milking", per="cow", unit="h"),
    )


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize(
    ("name", "key", "was", "value"),
    [
        ("late-cow", "raise_over", '"14 h"', "15 h"),
        ("late-cow", "now_over", "18 h", "19.5 h"),
        ("late-cow", "classes.0.raise_over", "26 h", "27 h"),
        ("other", "raise_over", "14 h, urgency", "9 h"),
    ],
)
def test_every_other_byte_stays(name: str, key: str, was: str, value: str, ends: str, mark: str) -> None:
    """With comments, order, quotes, line ends and a mark at the beginning."""
    text = mark + TEXT.replace("\n", ends)
    found = edited(text, "rules/cows.yaml", rule(name), [(key, value)])
    [changed] = found.changes
    now = was.replace(changed.before, value)

    assert text.count(was) == 1
    assert found.text == text.replace(was, now)
    assert found.text.encode() != text.encode()
    assert [line for line in found.diff if line[:1] in "+-" and line[:3] not in ("---", "+++")] == [
        f"{sign}{line}"
        for sign, lines in (("-", TEXT), ("+", found.text.removeprefix(mark).replace(ends, "\n")))
        for line in lines.splitlines()
        if line not in (found.text.removeprefix(mark).replace(ends, "\n") if sign == "-" else TEXT).splitlines()
    ]


def test_the_rule_is_what_the_file_then_says() -> None:
    """Read anew from the text."""
    found = edited(TEXT, "rules/cows.yaml", rule("late-cow"), [("classes.0.raise_over", "27 h")])

    assert found.changes == (Changed("classes.0.raise_over", "26 h", "27 h"),)
    assert [one.raise_over for one in found.rule.classes] == [27.0]


@pytest.mark.parametrize("share", [0.9, 1.1])
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_every_bound_of_the_rules_that_ship_can_be_written_and_put_back(path: Path, share: float) -> None:
    """One step back is the file as it was, byte for byte."""
    text = path.read_bytes().decode()
    rules, _ = load_rules(text, path.name)
    for one in rules:
        key = "raise_under" if one.raise_over is None else "raise_over"
        if f"  {key}:" not in one.text or not one.bound:
            continue
        value = max(1, round(one.bound * share))
        if value == one.bound:
            continue
        settings, _, why = fitted(one, ((key, f"{value} {one.unit}"),))
        assert why == ""
        there = edited(text, path.name, one, settings)
        back = edited(there.text, path.name, there.rule, [(each.key, each.before) for each in there.changes])
        assert back.text == text
        assert len(there.text) - len(text) == sum(len(each.after) - len(each.before) for each in there.changes)


@pytest.mark.parametrize(
    ("name", "setting", "why"),
    [
        ("late-cow", ("clear_under", "13 h"), "not written in the file"),
        ("late-cow", ("classes", "13 h"), "only a bound and a length of time"),
        ("late-cow", ("rule", "late-bull"), "only a bound and a length of time"),
        ("late-cow", ("say", "never"), "only a bound and a length of time"),
        ("late-cow", ("raise_over", "14 h"), "says so already: raise_over 14 h"),
        ("late-cow", ("raise_over", "840 min"), "says so already"),
        ("late-bull", ("raise_over", "13 h"), "does not stand in this file"),
        ("late-cow", ("raise_over", "20 h"), "now_over"),
        ("late-cow", ("raise_over", "13"), "needs its unit"),
        ("late-cow", ("raise_over", "13 h\n  say: x"), "not a figure"),
        ("late-cow", ("raise_over", "13 h # x"), "not a figure"),
    ],
)
def test_what_cannot_be_written_says_why(name: str, setting: tuple[str, str], why: str) -> None:
    """And nothing else of the file is touched by it."""
    with pytest.raises(CannotWrite, match=why):
        edited(TEXT, "rules/cows.yaml", rule(name), [setting])


def test_a_value_that_several_places_share_is_left_to_a_person() -> None:
    """An anchor: written here it would change elsewhere."""
    text = TEXT.replace("now_over: 18 h", "now_over: &most 18 h").replace("raise_over: 26 h", "raise_over: *most")

    for key in ("now_over", "classes.0.raise_over"):
        with pytest.raises(CannotWrite, match="several places"):
            edited(text, "rules/cows.yaml", rule("late-cow"), [(key, "19 h")])


def test_a_star_in_a_text_is_no_value_that_several_places_share() -> None:
    """Only an anchor is."""
    text = TEXT.replace('"Cow {cow}"', '"Cow {cow} *None"')

    assert edited(text, "rules/cows.yaml", rule("late-cow"), [("raise_over", "15 h")]).changes[0].before == "14 h"


def test_what_must_move_along_is_written_together() -> None:
    """Each by itself would not fit; the order in which they are given does not matter."""
    both = [("now_over", "25 h"), ("raise_over", "20 h")]
    found = edited(TEXT, "rules/cows.yaml", rule("late-cow"), both)

    assert found.text == TEXT.replace('"14 h"', '"20 h"').replace("now_over: 18 h", "now_over: 25 h")
    assert found.changes == (Changed("now_over", "18 h", "25 h"), Changed("raise_over", "14 h", "20 h"))
    assert (found.rule.raise_over, found.rule.now_over) == (20, 25)


def test_what_was_decided_on_another_value_is_refused() -> None:
    """The file says something else by now."""
    with pytest.raises(CannotWrite, match="is 14 h by now, not 13 h"):
        edited(TEXT, "rules/cows.yaml", rule("late-cow"), [("raise_over", "15 h")], ["13 h"])


def test_an_edit_in_the_log_is_put_back_once_and_only_if_it_is_the_last() -> None:
    """Every key of it."""
    edit = edited(TEXT, "rules/cows.yaml", rule("late-cow"), [("raise_over", "20 h"), ("now_over", "25 h")])
    what = Prepared("rules/cows.yaml", TEXT, edit, ())
    last = Logged(7, Entry(0, "rule-edited", rule="late-cow", body=entry_body(what, "too many")), "", "")
    undone = Logged(8, Entry(0, "rule-edited", rule="late-cow", body={**last.entry.body, "undoes": 7}), "", "")
    back = [Changed("raise_over", "20 h", "14 h"), Changed("now_over", "25 h", "18 h")]

    assert changes_in(last.entry.body) == list(edit.changes)
    assert undo_of("late-cow", last, 7) == undo_of("late-cow", last) == back
    for one, number, why in ((None, None, "nothing to undo"), (last, 6, "again meanwhile"), (undone, 7, "already put")):
        with pytest.raises(CannotWrite, match=why):
            undo_of("late-cow", one, number)
