"""Failed attachments in a window, of boxes and cows."""

from __future__ import annotations

import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import visit_frames
from text_tables import asked, lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import Tables

VISITS = table(
    "visits",
    """
    cow  start     box  outcome
    7    06:00     1    failed
    9    07:00     1    milked
    7    08:00     2    failed
    10   09:00     1    refused
    10   10:00     1    incomplete
    9    12:00     1    failed
    7    12:00     1    failed
    10   12:00:01  1    -
    9    13:00     -    failed
    """,
)


def failures(visits: pd.DataFrame, per: str, within: float = 6 * HOUR_S) -> pd.DataFrame:
    """The readings of failed attachments."""
    return measure_named("failed_attachments").compute(Tables(visits=visits), per, {"within": within}).frame


def test_per_box() -> None:
    """Failures of a box in the last 6 h: one exactly 6 h ago is out, refused and unknown visits do not count."""
    assert shown(failures(VISITS, "box"), "subject at value failed visits") == lines("""
        subject  at     value  failed  visits
        box:1    06:00  1      1       1
        box:1    07:00  1      1       2
        box:1    10:00  1      1       3
        box:1    12:00  2      2       4
        box:2    08:00  1      1       1
        """)


def test_per_cow() -> None:
    """Failures of a cow follow her from box to box; her reading names the box she was in."""
    assert shown(failures(VISITS, "cow"), "subject at value visits box") == lines("""
        subject  at     value  visits  box
        cow:10   10:00  0      1       1
        cow:7    06:00  1      1       1
        cow:7    08:00  2      2       2
        cow:7    12:00  2      2       1
        cow:9    07:00  0      1       1
        cow:9    12:00  1      2       1
        cow:9    13:00  2      2       -
        """)


def test_window_is_an_option() -> None:
    """A window of 2 h counts less than one of 6 h."""
    assert list(failures(VISITS, "cow", within=2 * HOUR_S).query("subject == 'cow:7'")["value"]) == [1, 1, 1]


@settings(max_examples=60, deadline=None)
@given(
    visits=visit_frames(), per=st.sampled_from(["box", "cow"]), within=st.sampled_from([3600, 6 * HOUR_S, 10 * 86400])
)
def test_against_a_plain_count(visits: pd.DataFrame, per: str, within: int) -> None:
    """Every reading is what counting the rows by hand gives, and every visit has one."""
    ended = visits.assign(outcome=outcomes(visits))
    tried = ended[ended["outcome"].isin(["milked", "incomplete", "failed"]) & ended[per].notna()]
    found = failures(visits, per, within)

    for row in found.to_dict("records"):
        mine = tried[f"{per}:" + tried[per] == row["subject"]]
        mine = mine[(mine["start"] > row["at"] - within) & (mine["start"] <= row["at"])]
        assert (row["failed"], row["visits"]) == ((mine["outcome"] == "failed").sum(), len(mine))
    expected = {(f"{per}:{name}", at) for name, at in zip(tried[per], tried["start"], strict=True)}
    assert expected == set(zip(found["subject"], found["at"], strict=True))


def test_window_reaches_21_days_at_most() -> None:
    """A longer window counts what 21 days hold, for older rows need not be at hand."""
    visits = table(
        "visits", "cow  start  box  outcome\n7  00:00  1  failed\n7  00:01  1  failed\n7  21d00:00  1  failed"
    )

    assert list(failures(visits, "box", within=60 * 24 * HOUR_S)["failed"]) == [1, 2, 2]


def explained(visits: str, within: float = 24 * HOUR_S) -> str:
    """What the last reading of cow 7 says of the box."""
    frame = failures(table("visits", visits), "cow", within)
    return str(asked(frame[frame["subject"] == "cow:7"])["explained"].iloc[-1])


OTHERS = """
    cow  start  box  outcome
    10   05:00  1    failed
    11   05:30  1    failed
    12   06:00  1    failed
    13   06:30  1    milked
"""
"""Other cows at box 1."""


def test_a_box_explains_a_cow_whose_failures_were_all_there() -> None:
    """Other cows failed there three times, too: it says so, with how often."""
    visits = OTHERS + "    7    07:00  1    failed\n    7    08:00  1    failed\n    7    09:00  2    milked\n"

    assert explained(visits) == "all at box 1, where other cows failed 3 of 4 times"


def test_a_box_does_not_explain_failures_that_were_elsewhere_too() -> None:
    """Nor those at a box that attaches the others, nor a single failure, nor what is long ago."""
    assert explained(OTHERS + "    7    07:00  1    failed\n    7    08:00  2    failed\n") == ""
    assert explained(OTHERS + "    7    07:00  2    failed\n    7    08:00  2    failed\n") == ""
    assert explained(OTHERS + "    7    07:00  1    failed\n") == ""
    assert explained(OTHERS + "    7    07:00  1    failed\n    7    08:00  1    failed\n", within=100 * HOUR_S) == ""
