"""What is true of a subject at a moment."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest
from text_tables import lines, moment, moment_text, table

from sentinel.flow.evaluation.attributes import attributes_at, herd_changes
from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.tables import ChoreFacts, FarmFacts, FeedFacts, Tables

HERD = """
    cow  from   group  milkings_allowed  status
    7    04:00  calm   3                 milking
    7    10:00  calm   3                 milking
    7    16:00  calm   1                 milking
    9    04:00  -      -                 dry
"""


def rule(per: str, **more: Any) -> Rule:
    """A rule per some kind of subject."""
    return Rule(name="r", measure="m", per=per, raise_over=1.0, **more)


def asked_at(given: Rule, points: str, cows: str = HERD, feeds: tuple[FeedFacts, ...] = ()) -> list[list[str]]:
    """The attributes a rule asks for at each `subject at [box]`, as a text table."""
    head, *rows = lines(points)
    frame = pd.DataFrame({name: [row[i] for row in rows] for i, name in enumerate(head)})
    frame["at"] = [moment(one) for one in frame["at"]]
    tables = Tables(cows=table("cows", cows), farm=FarmFacts(feeds=feeds))
    found = attributes_at(given, frame, herd_changes(tables), tables)
    names = sorted(found)
    return [names, *([_cell(found[name][i]) for name in names] for i in range(len(frame)))]


def _cell(value: Any) -> str:
    return "-" if pd.isna(value) else f"{value:g}" if isinstance(value, float) else str(value)


def test_a_cow_has_the_attributes_of_her_latest_row() -> None:
    """Before the first row, and for a cow not listed, nothing is known."""
    given = rule("cow", where={"status": ("milking",)}, classes=(RuleClass(where={"milkings_allowed": (1.0,)}),))
    points = "subject  at\ncow:7  03:59\ncow:7  04:00\ncow:7  16:00\ncow:9  12:00\ncow:10  12:00"
    assert asked_at(given, points) == lines("""
        milkings_allowed  status
        -                 -
        3                 milking
        1                 milking
        -                 dry
        -                 -
    """)


def test_a_quarter_has_her_cows_attributes_and_its_own_name_and_box() -> None:
    """The box is that of the reading."""
    given = rule("quarter", where={"group": ("calm",), "quarter": ("LF",), "box": ("2",), "cow": ("7",)})
    assert asked_at(given, "subject  at  box\nquarter:7/LF  05:00  2") == lines("""
        box  cow  group  quarter
        2    7    calm   LF
    """)


@pytest.mark.parametrize(
    ("per", "wanted", "subject", "said"),
    [
        ("box", "box", "box:2", "2"),
        ("chore", "chore", "chore:wash/2", "wash"),
        ("chore", "place", "chore:wash/2", "2"),
        ("chore", "place", "chore:tank", ""),
        ("feed", "pace", "feed:herd", "daily"),
        ("file", "feed", "file:herd/old/a.csv", "herd"),
        ("unread", "feed", "unread:herd/Cow no/a", "herd"),
        ("channel", "channel", "channel:marit-phone", "marit-phone"),
    ],
)
def test_the_parts_of_other_subjects_are_attributes(per: str, wanted: str, subject: str, said: str) -> None:
    """Box, chore and place, feed and its pace, channel."""
    feeds = (FeedFacts("herd", ("cows",), "daily"),)
    given = rule(per, where={wanted: ("x",)})
    assert asked_at(given, f"subject  at\n{subject}  05:00", feeds=feeds)[1] == [said]


def test_a_chore_is_planned_if_the_farm_says_so() -> None:
    """A wire of the grazing plan; one the farm does not know is neither."""
    given = rule("chore", where={"planned": ("yes",)})
    chores = (ChoreFacts("wire", "east", planned=True), ChoreFacts("wire", "west"))
    subjects = pd.Series(["chore:wire/east", "chore:wire/west", "chore:wire/north"], dtype=object)
    frame = pd.DataFrame({"subject": subjects, "at": [0, 0, 0]})
    found = attributes_at(given, frame, None, Tables(farm=FarmFacts(chores=chores)))
    assert found["planned"].tolist() == ["yes", "no", None]


def test_only_changes_of_attributes_count_as_changes() -> None:
    """The row of 10:00 says nothing new; a missing value is not a change of a missing value."""
    found = herd_changes(Tables(cows=table("cows", HERD)))
    assert [(cow, moment_text(at)) for cow, at in zip(found["cow"], found["from"], strict=True)] == [
        ("7", "04:00"), ("7", "16:00"), ("9", "04:00"),
    ]  # fmt: skip


def test_a_cow_that_a_whole_list_leaves_out_has_gone() -> None:
    """From the first list without her until one names her again."""
    lists = """
        cow  from     status
        7    04:00    milking
        9    04:00    milking
        7    1d04:00  milking
        7    2d04:00  milking
        9    2d04:00  milking
    """
    whole = Tables(cows=table("cows", lists), farm=FarmFacts(whole_herd_lists=True))
    found = herd_changes(whole)
    assert [(c, moment_text(at), s) for c, at, s in found[["cow", "from", "status"]].itertuples(index=False)] == [
        ("7", "04:00", "milking"), ("9", "04:00", "milking"), ("9", "1d04:00", "gone"), ("9", "2d04:00", "milking"),
    ]  # fmt: skip
    assert "gone" not in set(herd_changes(Tables(cows=table("cows", lists)))["status"])
