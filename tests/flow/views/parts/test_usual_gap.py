"""After how many hours a cow is usually milked."""

from __future__ import annotations

from view_farm import AT, rows

from sentinel.flow.views.parts.usual_gap import usual_gap_h

MILKED = """
cow  start     box  outcome
7    -20d08:00  1    milked
7    00:00     1    milked
7    06:00     1    milked
7    09:00     1    refused
7    15:00     2    milked
7    23:00     2    milked
7    1d07:00   1    milked
8    06:00     1    milked
8    1d06:00   1    milked
"""


def test_it_is_the_middle_of_her_whole_milkings_of_two_weeks() -> None:
    """A refused visit counts for nothing, and one long gap does not move it; of a few nothing is called usual."""
    tables = rows(visits=MILKED)

    assert usual_gap_h("7", tables, AT) == 8.0
    assert usual_gap_h("8", tables, AT) is None
    assert usual_gap_h("9", tables, AT) is None
