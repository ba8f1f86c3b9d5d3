"""A farm in memory with a month of milkings and two years of cells, for the herd's page."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from flow.herd.herd_rows import cow_tests, herd, milkings, tank_tests
from page_farm import ALERT, AT, InMemory
from text_tables import DAY_0

from sentinel.flow.herd.figures import Averages
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.model import DAY_S
from sentinel.flow.rules import load_rules
from sentinel.flow.views.parts.snapshot import Snapshot

TODAY = (AT - DAY_0) // DAY_S
RULES = """\
- rule: tank-cells
  measure: tank_cells_mean_k_ml
  raise_over: 400 k/ml
  urgency: round
  say: "Tank {tank}: cells average {value}"
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  urgency: round
  say: "Cow {cow} not milked for {value}"
- rule: late-share
  measure: late_share
  raise_over: 10 %
  urgency: round
  say: "{value} late"
"""


def cells() -> HerdPast:
    """Tank and cows, whose cells have come down since last year."""
    rng = np.random.default_rng(5)
    days = [AT - n * 14 * DAY_S - 7200 for n in range(52)]
    tank = tank_tests(*[(at, round(220 + 110 * n / 52 + rng.normal(0, 15))) for n, at in enumerate(days)])
    tests = [
        (str(cow), at, round(90 + n + rng.lognormal(3, 1))) for n, at in enumerate(days[::2]) for cow in range(1, 41)
    ]
    return HerdPast(tank, cow_tests(*tests), Averages(41, 2.41, 25.2, 4.1, 3.2))


class YearsFarm(InMemory):
    """The page's farm with figures of its own."""

    def snapshot(self) -> Snapshot:
        """A herd of forty, of which two are late; one box's alert stands, and gets worse."""
        rules, problems = load_rules(RULES, "rules/herd.yaml")
        assert not problems
        visits = milkings(TODAY - 32, 33, cows=40, hours=(0, 6, 13, 19), kg=7.3)
        visits = visits[
            (visits["start"] <= self.now - 600) & ~(visits["cow"].isin(["7", "9"]) & (visits["start"] > AT - DAY_S))
        ]
        visits.loc[visits.index % 41 == 0, "outcome"] = "failed"
        visits.loc[visits.index % 67 == 0, "outcome"] = "incomplete"
        tables = herd(visits, until=self.now - 600, tank=cells().tank)
        worse = replace(
            ALERT, raised_value=5.0, worst_value=8.0, value=8.0, course="raised at 5 failures, now 8 failures"
        )
        by_name = {rule.name: rule for rule in rules}
        return Snapshot(self.now, self.plan, self.people, by_name, tables, (worse,))

    def herd_past(self, snapshot: Snapshot) -> HerdPast:
        """Two years of cells, and two weeks a year before."""
        return cells()
