"""The cows that are late."""

from __future__ import annotations

from view_farm import AT, rows, the_rules

from sentinel.flow.model import HOUR_S
from sentinel.flow.views.parts.late_cows import late_cows


def test_late_cows_are_those_of_the_rule_with_their_own_bounds() -> None:
    """One milking a day has 26 h, dry cows have none; time counts to where the visits are known."""
    visits = """
cow  start     box  outcome
1    -1d20:00  1    milked
2    06:00     1    milked
3    1d04:00   1    milked
4    06:00     1    milked
2    1d11:00   1    failed
"""
    cows = """
cow  from   status   milkings_allowed
1    00:00  milking  1
2    00:00  milking  3
3    00:00  milking  3
4    00:00  dry      3
"""
    found = late_cows(rows(visits=visits, cows=cows), the_rules(), AT + HOUR_S)
    assert [(late.cow, late.hours, late.bound_h) for late in found.cows] == [("1", 40.0, 26.0), ("2", 30.0, 14.0)]
    assert found.known_until == AT
