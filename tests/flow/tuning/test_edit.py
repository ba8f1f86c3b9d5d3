"""One value of a rule written into its file, and not a byte besides."""

from __future__ import annotations

from pathlib import Path

import pytest

from sentinel.flow.rules import load_rules
from sentinel.flow.tuning.edit import CannotWrite, edited

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


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize(
    ("rule", "key", "was", "value"),
    [
        ("late-cow", "raise_over", '"14 h"', "15 h"),
        ("late-cow", "now_over", "18 h", "19.5 h"),
        ("late-cow", "classes.0.raise_over", "26 h", "27 h"),
        ("other", "raise_over", "14 h, urgency", "9 h"),
    ],
)
def test_every_other_byte_stays(rule: str, key: str, was: str, value: str, ends: str, mark: str) -> None:
    """With comments, order, quotes, line ends and a mark at the beginning."""
    text = mark + TEXT.replace("\n", ends)
    found = edited(text, "rules/cows.yaml", rule, (key, value))
    now = was.replace(found.before, value)

    assert found.text == text.replace(was, now, 1) if rule == "late-cow" else text.replace(was, now)
    assert found.text.encode() != text.encode()
    assert [line for line in found.diff if line[:1] in "+-" and line[:3] not in ("---", "+++")] == [
        f"{sign}{line}"
        for sign, lines in (("-", TEXT), ("+", found.text.removeprefix(mark).replace(ends, "\n")))
        for line in lines.splitlines()
        if line not in (found.text.removeprefix(mark).replace(ends, "\n") if sign == "-" else TEXT).splitlines()
    ]


def test_the_rule_is_what_the_file_then_says() -> None:
    """Read anew from the text."""
    found = edited(TEXT, "rules/cows.yaml", "late-cow", ("classes.0.raise_over", "27 h"))

    assert (found.before, found.after) == ("26 h", "27 h")
    assert [one.raise_over for one in found.rule.classes] == [27.0]


@pytest.mark.parametrize("share", [0.9, 1.1])
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_every_bound_of_the_rules_that_ship_can_be_written_and_put_back(path: Path, share: float) -> None:
    """One step back is the file as it was, byte for byte."""
    text = path.read_bytes().decode()
    rules, _ = load_rules(text, path.name)
    for rule in rules:
        key = "raise_under" if rule.raise_over is None else "raise_over"
        if f"  {key}:" not in rule.text or not rule.bound:
            continue
        try:
            there = edited(text, path.name, rule.name, (key, f"{max(1, round(rule.bound * share))} {rule.unit}"))
        except CannotWrite as why:
            assert "must" in str(why) or "past" in str(why)  # the clearing or pressing bound no longer fits
            continue
        back = edited(there.text, path.name, rule.name, (key, there.before))
        assert back.text == text
        assert len(there.text) - len(text) == len(there.after) - len(there.before)


@pytest.mark.parametrize(
    ("rule", "setting", "why"),
    [
        ("late-cow", ("clear_under", "13 h"), "not written in the file"),
        ("late-cow", ("classes", "13 h"), "not written in the file"),
        ("late-bull", ("raise_over", "13 h"), "does not stand in this file"),
        ("late-cow", ("raise_over", "20 h"), "now_over"),
        ("late-cow", ("raise_over", "13"), "needs its unit"),
        ("late-cow", ("raise_over", "13 h\n  say: x"), "not a figure"),
        ("late-cow", ("raise_over", "13 h # x"), "not a figure"),
    ],
)
def test_what_cannot_be_written_says_why(rule: str, setting: tuple[str, str], why: str) -> None:
    """And nothing else of the file is touched by it."""
    with pytest.raises(CannotWrite, match=why):
        edited(TEXT, "rules/cows.yaml", rule, setting)


def test_a_value_that_several_places_share_is_left_to_a_person() -> None:
    """An anchor: written here it would change elsewhere."""
    text = TEXT.replace("now_over: 18 h", "now_over: &most 18 h").replace("raise_over: 26 h", "raise_over: *most")

    for key in ("now_over", "classes.0.raise_over"):
        with pytest.raises(CannotWrite, match="several places"):
            edited(text, "rules/cows.yaml", "late-cow", (key, "19 h"))
