"""A span of the record gathered from a store: with what an interval or a mean needs from before it, and its proof."""

from __future__ import annotations

from text_tables import moment
from whole.whole_farm import BOX_LOG_FEED, FEED, LATE_COW, Life, batch, setup_of

from sentinel.edges.store.names import replace_name
from sentinel.flow.alerts.chain import first_break
from sentinel.flow.bundle.tables import KINDS, Span
from sentinel.flow.model import Chore
from sentinel.runtime.record.span import proven_log, record_of

SPAN = Span(moment("2d00:00"), moment("3d00:00"))


def lived() -> Life:
    """Three days with a visit, a filter change by the log and one by a person each."""
    life = Life(setup_of(LATE_COW, (FEED, BOX_LOG_FEED)))
    for day in range(3):
        life.at(f"{day}d06:00", batch(f"cow  start  box  outcome\n1  {day}d05:00  1  milked", file=f"m_{day}.csv"))
        log = f"box  at  event\n1  {day}d06:30  filter_changed"
        life.at(f"{day}d07:00", batch(log, "box_log", feed="boxlog", file=f"b_{day}.csv"))
        at = moment(f"{day}d08:00")
        life.at(at, chores=(Chore("filter", "2", at, "Marit"),))
    return life


def test_intervals_reach_back_before_the_span() -> None:
    """The change of the day before is a day away, though the day itself is left out."""
    life = lived()
    record = record_of(life.store, life.engine.setup, SPAN, KINDS)

    filters = [(row[0], row[2], row[4], row[5]) for row in KINDS["filters"](record).rows]
    assert filters == [("1", "by the box's log", 24.0, 1), ("2", "Marit", 24.0, 0)]
    assert len(KINDS["visits"](record).rows) == 1
    assert {row[2] for row in KINDS["history"](record).rows} == {"read", "chore"}


def test_visits_are_read_only_where_they_are_wanted() -> None:
    """There are most of them."""
    life = lived()

    assert record_of(life.store, life.engine.setup, SPAN, ["tank"]).tables.visits.empty


def test_the_proof_goes_on_to_the_entry_that_vouches_for_a_replaced_name() -> None:
    """The span's entries alone would not fit; with all up to that one they do."""
    life = lived()
    replace_name(life.store, "Marit", "Helper 1", moment("5d00:00"), "Anna", "")

    log, replaced = proven_log(life.store, SPAN)

    assert log[0].entry.at >= SPAN.begin and log[-1].entry.kind == "name-replaced"
    assert first_break(log, replaced, begins_later=True) == ""
    assert first_break(log, (), begins_later=True) != ""
    assert proven_log(life.store, Span(0, 1)) == ([], [])
