"""The version of a rule, and the edit that brought it."""

from __future__ import annotations

from dataclasses import replace

from sentinel.flow.alerts.chain import START, chained
from sentinel.flow.model import Entry
from sentinel.flow.record.rule_version import rule_version, version_of
from sentinel.flow.rules import Rule, load_rules

LATE = "- rule: late\n  measure: hours_since_milking\n  raise_over: {bound}\n  urgency: round\n  say: 'Cow {{cow}}'\n"
OTHER = "- rule: other\n  measure: hours_since_milking\n  raise_over: {bound}\n  urgency: round\n  say: 'Cow {{cow}}'\n"
FILE = "rules/cows.yaml"


def settings(late: str, other: str = "20 h") -> dict[str, str]:
    """A farm's rules file with two rules."""
    return {FILE: LATE.format(bound=late) + OTHER.format(bound=other)}


def late(texts: dict[str, str]) -> Rule:
    """The first rule in it."""
    rules, problems = load_rules(texts[FILE], FILE)
    assert problems == []
    return rules[0]


CHANGE = f"{FILE}: late: raise_over 14 → 12 h"
EDITS = chained(
    [
        Entry(200, "rules-changed", body={"changes": [f"{FILE}: other: raise_over 20 → 22 h"]}),
        Entry(300, "rules-changed", None, "", "", "Marit", {"changes": [CHANGE], "why": "heat"}),
        Entry(400, "rules-changed", body={"changes": [f"{FILE}: other: raise_over 22 → 23 h"]}),
    ],
    START,
    0,
)  # fmt: skip


def test_a_rule_that_never_changed_stood_so_from_the_beginning() -> None:
    """An edit of another rule in the same file brings no new version."""
    used = [(100, settings("14 h")), (200, settings("14 h", "22 h"))]

    found = rule_version(late(used[-1][1]), used, EDITS)

    assert (found.since, found.entry, found.changes) == (100, None, ())
    assert found.version == version_of(late(used[0][1]).text)


def test_the_edit_that_brought_it_is_named_with_who_and_why() -> None:
    """The newest edit of this rule, though another rule was edited since."""
    used = [
        (100, settings("14 h")),
        (200, settings("14 h", "22 h")),
        (300, settings("12 h", "22 h")),
        (400, settings("12 h", "23 h")),
    ]

    found = rule_version(late(used[-1][1]), used, EDITS)

    assert (found.since, found.entry, found.person, found.reason) == (300, 2, "Marit", "heat")
    assert found.changes == (CHANGE,)
    assert found.version != version_of(late(used[0][1]).text)


def test_a_rule_that_was_taken_out_and_put_back_is_new_since_then() -> None:
    """What stood before it was gone does not count."""
    used = [(100, settings("14 h")), (200, {FILE: OTHER.format(bound="20 h")}), (300, settings("14 h"))]

    assert rule_version(late(used[-1][1]), used, EDITS).since == 300


def test_a_value_written_by_a_person_says_who_and_why() -> None:
    """What sentinel wrote into the file stands in an entry of its own, just before the settings are used."""
    edited = Entry(299, "rule-edited", rule="late", person="Joren", body={"key": "raise_over", "why": "fewer calls"})
    other = Entry(299, "rule-edited", rule="other", person="Anna", body={"why": "no"})
    edits = chained(
        [EDITS[0].entry, edited, other, replace(EDITS[1].entry, person="", body={"changes": [CHANGE]})], START, 0
    )
    used = [(100, settings("14 h")), (200, settings("14 h", "22 h")), (300, settings("12 h", "22 h"))]

    found = rule_version(late(used[-1][1]), used, edits)

    assert (found.entry, found.person, found.reason, found.changes) == (4, "Joren", "fewer calls", (CHANGE,))
