"""What a draft left open is told with its line, wherever in the line it stands."""

from __future__ import annotations

from sentinel.flow.feeds.trial.questions import open_questions

DRAFT = """\
feed: visits
files: "*.csv"
zone: UTC   # QUESTION: the times do not say their zone; is it this one?
tables:
  visits:
    cow: Cow
    # FILL IN start: ...   # when she entered the box
    milk_kg: FILL IN
    text: "a questionable fill in"
"""


def test_each_open_line_says_what_it_asks_and_what_to_do() -> None:
    """A question, something to fill in as a remark, and one as a value; other words are no question."""
    assert [str(one) for one in open_questions({"feeds/visits.yaml": DRAFT})] == [
        "feeds/visits.yaml:3:15: an open question at zone: the times do not say their zone; is it this one?; answer "
        "it, then take the remark away",
        "feeds/visits.yaml:7:7: something to fill in: start: ...   # when she entered the box; write it, then take the "
        "words FILL IN away",
        "feeds/visits.yaml:8:14: something to fill in at milk_kg; write it, then take the words FILL IN away",
    ]


def test_a_long_file_of_questions_is_cut() -> None:
    """No more are told than a person reads, and each no longer."""
    told = [*open_questions({"feeds/x.yaml": f"# QUESTION: {'?' * 5000}\n" * 500})]

    assert len(told) == 40
    assert max(len(one.message) for one in told) < 300
