"""All that is asked of the maps, in order of place, no longer than a person reads."""

from __future__ import annotations

from flow.feeds.trial.tried_maps import export, line, map_text, tried_on, visits

from sentinel.flow.feeds.trial.findings import findings, map_findings
from sentinel.flow.feeds.trial.patterns import Matched
from sentinel.flow.feeds.trial.tried import draft_map


def test_findings_of_every_kind_stand_in_order_of_place() -> None:
    """A question, a word, a unit, and a file without a map."""
    text = map_text() + "# QUESTION: how often does a file come?\n"
    of = tried_on(text, export(*visits(lambda n: line(n, Stay="6", Ended="odd"))))
    found = Matched()
    for name in ("visits_1.csv", "other.csv"):
        found.add([of.map], name, 0)

    told = findings(
        {"feeds/visits.yaml": text, "farm.yaml": "boxes: [1, 2]   # QUESTION: are these all?"},
        [of.map],
        found,
        {},
        [of],
    )

    assert [(str(one.source), one.message.split(":")[0][:20]) for one in told] == [
        ("farm.yaml:1:19", "an open question at "),
        ("feeds/visits.yaml:10:5", "duration_s"),
        ("feeds/visits.yaml:11:5", "20 rows of 20 are re"),
        ("feeds/visits.yaml:12:3", "an open question"),
        ("other.csv", "no feed map is for t"),
    ]


def test_of_a_draft_that_cannot_be_read_its_questions_are_told() -> None:
    """What must be filled in is the first thing to know."""
    text = "feed: x\nfiles: x.csv\ntables: {}   # FILL IN: no column could be told\n"

    assert draft_map(text, "draft")[0] is None
    assert [str(one).partition("; ")[0] for one in map_findings(text, "draft", [])] == [
        "draft:3:16: something to fill in at tables: no column could be told"
    ]
