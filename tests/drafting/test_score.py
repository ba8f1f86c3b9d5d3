"""The scorer of drafts counts what is wrong as wrong, and a few samples of both parts are drafted right."""

from __future__ import annotations

import re
from itertools import islice

import pytest

from sentinel.flow.feeds import draft_feed_map

from .corpus import dialects, drafted, samples
from .sampled import Sampled
from .score import Totals, scored


def one_of(kind: str) -> tuple[Sampled, str]:
    """A sample of a kind with everything said in its titles, and its draft."""
    for one in (each for each in samples("built_on", (1, 2)) if each.kind == kind and len(each.fields) > 3):
        draft = draft_feed_map(one.export, "Europe/Dublin")
        if {how for how, _ in scored(draft, one).fields.values()} == {"right"}:
            return one, draft
    raise AssertionError(kind)


def test_a_draft_is_counted_right_only_while_it_is() -> None:
    """A wrong column or unit makes a field wrong, and undoubted where the draft has no QUESTION."""
    one, draft = one_of("tank")
    doubtless = re.sub(r"QUESTION|FILL IN", "", draft)
    litres = re.search(r"    litres: .*", doubtless)
    degrees = re.search(r"    temperature_C: (.*?)   #.*", doubtless)
    assert litres and degrees
    moved = doubtless.replace(litres[0], f"    litres: {degrees[1]}")
    unit = doubtless.replace(degrees[0], re.sub(r"unit: \w+", "unit: kelvin", degrees[0]) if "unit" in degrees[1] else
                             f'    temperature_C: {{column: {degrees[1]}, unit: degF}}')  # fmt: skip

    assert scored(doubtless, one).fields["tank", "litres"] == ("right", False)
    assert scored(moved, one).fields["tank", "litres"] == ("wrong", False)
    assert scored(unit, one).fields["tank", "temperature_C"] == ("wrong", False)
    assert scored(doubtless.replace("  tank:", "  cow_tests:"), one).table_right is False
    assert scored("tables: {}", one).fields["tank", "litres"] == ("missing", False)


def test_the_parts_have_no_dialect_in_common() -> None:
    """Of the words of titles in the one, few are written the same in the other."""
    built, held = dialects("built_on"), dialects("held_out")
    titles = [
        {
            way.lower()
            for words in part.values()
            for key, said in words.items()
            if isinstance(said, str)
            for way in said.split(" | ")
        }
        for part in (built, held)
    ]

    assert len(titles[0] & titles[1]) < 0.25 * len(titles[1])


@pytest.mark.parametrize(
    ("part", "least"), [("built_on", 0.9), ("farms", 0.88), ("held_out", 0.88), ("unlike", 0.75), ("further", 0.75)]
)
def test_a_few_samples_are_drafted_right(part: str, least: float) -> None:
    """A part of the figures that `python -m tests.drafting` prints, so that it stays quick."""
    total = Totals()
    for one in islice(samples(part), 0, None, 7):
        total.add(drafted(one))
    right = total.counts["right", True] + total.counts["right", False]
    true = sum(n for (how, _), n in total.counts.items() if how != "made up")

    assert right >= least * true
    assert total.tables >= 0.8 * total.samples
    assert total.counts["wrong", False] + total.counts["made up", False] <= 0.01 * true
