"""Hypothesis strategies for the rows of four feeds, which meet, cross and differ, and a rule of every shape."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from text_tables import DAY_0
from whole.whole_farm import BOX_LOG_FEED, FEED, HERD_FEED, setup_of

from sentinel.flow.model import Batch, Rows, SetAside
from sentinel.flow.reasons import as_said
from sentinel.flow.setup import Setup

SECOND_FEED = FEED.replace("milkings", "parlour")

# Every shape a rule can have, with bounds that a few rows an hour apart pass.
SHAPES = """
- rule: late
  say: "{subject}: {value}"
  measure: hours_since_milking
  raise_over: 2 h
  now_over: 5 h
  again_within: 3 h
  where: {status: milking}
  classes:
    - where: {milkings_allowed: 1}
      raise_over: 4 h
      urgency: now
    - where: {group: calm}
      urgency: log
  urgency: round
- rule: late-in-the-end
  say: "{subject}: {value}"
  measure: hours_since_milking
  raise_over: 2 h
  lasting: 1 h
  over_after: 4 h
  urgency: log
- rule: fails
  say: "{subject}: {value}"
  measure: failed_attachments
  per: cow
  options: {within: 3 h}
  raise_over: 1 failures
  clear_under: 1 failures
  now_over: 2 failures
  where: {status: [milking, withheld]}
  classes:
    - where: {group: calm}
      raise_over: 2 failures
      urgency: log
  urgency: round
- rule: fails-for-long
  say: "{subject}: {value}"
  measure: failed_attachments
  per: box
  options: {within: 2 h}
  raise_over: 0 failures
  lasting: 30 min
  again_within: 2 h
  over_after: 90 min
  urgency: round
- rule: many-late
  say: "{subject}: {value}"
  measure: late_share
  options: {late_after: 3 h, late_after_once: 5 h}
  raise_over: 30 %
  clear_under: 20 %
  now_over: 60 %
  lasting: 20 min
  urgency: round
- rule: filter-count
  say: "{subject}: {value}"
  measure: milkings_since_filter
  raise_over: 2 milkings
  now_over: 4 milkings
  urgency: log
- rule: filter-time
  say: "{subject}: {value}"
  measure: hours_since_filter
  raise_over: 3 h
  now_over: 5 h
  lasting: 30 min
  urgency: round
- rule: quiet
  say: "{subject}: {value}"
  measure: box_quiet_min
  raise_over: 100 min
  again_within: 2 h
  classes:
    - where: {box: "2"}
      raise_over: 200 min
      urgency: now
  urgency: round
- rule: chores
  say: "{subject}: {value}"
  measure: hours_since_chore
  raise_over: 4 h
  classes:
    - where: {chore: wire}
      raise_over: 6 h
      now_over: 9 h
  urgency: round
- rule: silent
  say: "{subject}: {value}"
  measure: feed_quiet_min
  raise_over: 110 min
  now_over: 4 h
  classes:
    - where: {pace: daily}
      raise_over: 5 h
  over_after: 3 h
  urgency: round
- rule: ratio
  say: "{subject}: {value}"
  measure: conductivity_ratio
  raise_over: 1.1 ratio
  clear_under: 1.05 ratio
  now_over: 1.3 ratio
  lasting: 20 min
  where: {status: milking}
  urgency: round
"""

COWS = ("7", "9", "10")
GRID_S, STEPS = 600, 80
"""Rows fall on a coarse grid, so that they meet in the same second, and sometimes a second beside it."""

when = st.builds(
    lambda step, beside: DAY_0 + GRID_S * step + beside, st.integers(0, STEPS), st.sampled_from((0,) * 6 + (1, -1))
)
visits = st.fixed_dictionaries(
    {
        "feed": st.sampled_from(("milkings", "milkings", "parlour")),
        "table": st.just("visits"),
        "cow": st.sampled_from(COWS),
        "start": when,
        "box": st.sampled_from(("1", "2", None)),
        "outcome": st.sampled_from(("milked", "milked", "failed", "failed", "incomplete", "refused", "unknown", None)),
        "lf_conductivity_mS_cm": st.sampled_from((5.0, 5.0, 5.7, 6.9, None)),
        "rf_conductivity_mS_cm": st.sampled_from((5.0, 5.0, None)),
        "lr_conductivity_mS_cm": st.just(5.0),
        "lr_kicked_off": st.sampled_from((0, 0, 1)),
    }
)
box_events = st.fixed_dictionaries(
    {
        "feed": st.just("boxlog"),
        "table": st.just("box_log"),
        "box": st.sampled_from(("1", "2")),
        "at": when,
        "event": st.sampled_from(("filter_changed", "washed")),
    }
)
herd_rows = st.fixed_dictionaries(
    {
        "feed": st.just("herd"),
        "table": st.just("cows"),
        "cow": st.sampled_from(COWS),
        "from": when,
        "group": st.sampled_from(("calm", "wild", None)),
        "milkings_allowed": st.sampled_from((1.0, 3.0, None)),
        "status": st.sampled_from(("milking", "milking", "dry", "withheld", None)),
    }
)
chores = st.fixed_dictionaries(
    {
        "feed": st.just(None),
        "chore": st.sampled_from(("filter", "wire", "wash")),
        "place": st.sampled_from(("1", "2", "east", "")),
        "at": when,
    }
)
unread = st.fixed_dictionaries(
    {
        "feed": st.just("milkings"),
        "table": st.just("unread"),
        "at": when,
        "who": st.sampled_from(("", "", "7")),
        "box": st.sampled_from(("", "", "1")),
        "lasting_s": st.sampled_from((0, 600, 7200)),
    }
)
"""A row that could not be read: it happened in so many seconds before its export came."""
Row = dict[str, Any]
MOMENT = {"visits": "start", "box_log": "at", "cows": "from"}


def moment_of(row: Row) -> int:
    """When a row happened."""
    return int(row[MOMENT.get(row.get("table", ""), "at")])


def batch_of_row(row: Row, file: str) -> Batch:
    """An export of one row, or of one that could not be read."""
    if row["table"] == "unread":
        began = row["at"] - row["lasting_s"]
        aside = SetAside(2, "?", as_said("x"), False, "visits", row["who"], row["box"], began, row["at"])
        return Batch(row["feed"], file, set_aside=(aside,))
    values = {name: value for name, value in row.items() if name not in ("feed", "table")}
    return Batch(row["feed"], file, (Rows(row["table"], tuple(values), (tuple(values.values()),), (2,)),))


@cache
def farm_of_all_shapes() -> Setup:
    """A farm with a rule of every shape; reading its YAML takes longer than living through an example."""
    return setup_of(SHAPES, (FEED, SECOND_FEED, BOX_LOG_FEED, HERD_FEED))


@cache
def the_same_farm_with_other_rules() -> Setup:
    """The same farm after somebody has edited its rules: other bounds, one rule gone, one new."""
    edited = SHAPES.replace("raise_over: 2 h", "raise_over: 3 h").replace(
        "raise_over: 1.1 ratio", "raise_over: 1.2 ratio"
    )
    edited = edited.replace("rule: quiet", "rule: silence-of-a-box").replace(
        "raise_over: 2 milkings", "raise_over: 1 milkings"
    )
    return setup_of(edited, (FEED, SECOND_FEED, BOX_LOG_FEED, HERD_FEED))


quick = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None)
