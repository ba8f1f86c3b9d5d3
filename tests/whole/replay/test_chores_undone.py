"""A chore that is taken back was not done: what rested on it is judged again, and the past is told again the same."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import DAY_0, moment
from whole.farm_rows import quick
from whole.lives import Script, lived, scripts
from whole.whole_farm import BOX_LOG_FEED, FEED, Life, alerts, batch, setup_of

from sentinel.edges.store.inputs import put_chore, waiting_inputs
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.rows import all_rows
from sentinel.flow.model import Chore, Tick, TickKind
from sentinel.flow.tables import CHORES

CHORE_RULES = """
- rule: filter-overdue
  measure: hours_since_filter
  raise_over: 9 h
  urgency: round
  say: "Box {box}: filter not changed for {value}"
- rule: chore-due
  measure: hours_since_chore
  raise_over: 12 h
  where: {chore: wire}
  urgency: round
  say: "{chore} {place}: {value}"
"""


def washed_at(life: Life, when: str) -> None:
    """The box's log comes, so that what rests on it is known up to then."""
    number = len(life.steps)
    life.at(when, batch(f"box  at  event\n2  {when}  washed", "box_log", feed="boxlog", file=f"boxlog_{number}.csv"))


def a_day() -> Life:
    """A farm watched since midnight, on which box 1's filter and the wire come to be overdue."""
    life = Life(setup_of(CHORE_RULES, (FEED, BOX_LOG_FEED)))
    washed_at(life, "09:30")
    return life


def test_what_a_chore_ended_stands_again_once_it_is_taken_back() -> None:
    """The filter's alert ends with the tick, and comes again with the moment since which it really holds."""
    life = a_day()
    done = Chore("filter", "1", moment("09:40"), "Marit")
    life.at("09:41", chores=(done,))
    life.at("10:00", chores=(Chore("filter", "1", moment("09:59"), "Onno", "not yet", undoes=done.at),))
    washed_at(life, "10:05")

    assert [line for line in life.alerts if line[1] != "box:2"] == alerts("""
        rule            subject  raised  over   urgency  value
        filter-overdue  box:1    09:30   09:41  round    9.5
        filter-overdue  box:1    10:00   -      round    9.5
    """)
    assert life.told_again == life.alerts
    [entry] = [one.entry for one in log_entries(life.store, kind="chore-undone")]
    assert (entry.subject, entry.person, entry.at) == ("chore:filter/1", "Onno", moment("10:00"))
    assert entry.body == {
        "done_at": done.at, "done_by": "Marit", "said_at": moment("09:59"), "note": "not yet",
    }  # fmt: skip
    life.store.verify()


def test_a_chore_without_a_box_is_judged_again_too() -> None:
    """The wire was ticked by mistake: it stays due, since midnight as before."""
    life = a_day()
    life.at("11:00", chores=(Chore("wire", "east", moment("11:00"), "Marit"),))
    life.at("11:01", chores=(Chore("wire", "east", moment("11:01"), "Marit", undoes=moment("11:00")),))
    washed_at(life, "12:30")

    assert [line[:3] for line in life.alerts if line[0] == "chore-due"] == [["chore-due", "chore:wire/east", "12:30"]]
    assert life.told_again == life.alerts


def test_done_not_done_and_done_again_within_one_look_is_done_once() -> None:
    """In the order in which they were said, though all have the same second; each is in the log."""
    life = a_day()
    at = moment("09:40")
    done = Chore("filter", "1", at, "Marit")
    life.at("09:41", chores=(done, Chore("filter", "1", at, "Marit", undoes=at), done))

    assert len(all_rows(life.store, CHORES)) == 1
    kinds = [one.entry.kind for one in log_entries(life.store) if one.entry.kind.startswith("chore")]
    assert sorted(kinds) == ["chore", "chore", "chore-undone"]
    assert life.told_again == life.alerts


def test_what_was_taken_back_already_is_taken_back_no_more() -> None:
    """Said twice, or of what nobody recorded, it changes nothing and the log has it once."""
    life = a_day()
    done = moment("09:40")
    back = Chore("filter", "1", moment("09:45"), "Marit", undoes=done)
    life.at("09:41", chores=(Chore("filter", "1", done, "Marit"),))
    life.at("09:45", chores=(back, back))
    life.at("09:46", chores=(Chore("filter", "2", moment("09:46"), "Marit", undoes=done),))

    assert len(log_entries(life.store, kind="chore-undone")) == 1
    assert life.told_again == life.alerts


def test_a_start_reads_no_chore_that_was_taken_back() -> None:
    """What the store gives a service that starts is what one that ran on has."""
    life = a_day()
    life.at("09:41", chores=(Chore("filter", "1", moment("09:40"), "Marit"),))
    life.at("09:45", chores=(Chore("filter", "1", moment("09:45"), "Marit", undoes=moment("09:40")),))
    before = life.engine.tables
    life.restart()
    life.at("09:50", kind=TickKind.START)

    assert before is not None and life.engine.tables is not None
    assert before.chores.empty and life.engine.tables.chores.empty
    assert life.told_again == life.alerts


chore_words = st.tuples(
    st.sampled_from((("filter", "1"), ("filter", "2"), ("wire", "east"))),
    st.sampled_from((0, 0, 60, 1800)),  # so long before it is said
    st.integers(0, 5),  # which of the earlier ones is taken back
    st.booleans(),
)


@settings(quick, max_examples=20)
@given(st.lists(st.tuples(st.sampled_from((0, 1, 600, 4 * 3600)), st.lists(chore_words, max_size=4)), max_size=8))
def test_whatever_is_ticked_and_taken_back_live_and_told_again_are_the_same(steps: list) -> None:
    """Any chores, any of them taken back, at once or later, in one look or in several."""
    life = a_day()
    at, said, standing = DAY_0 + 34_200 + 1, [], []
    for gap, words in steps:
        at += gap + 1
        now = []
        for (name, place), ago, which, back in words:
            if back and said:
                one = said[which % len(said)]
                now.append(Chore(one.chore, one.place, at, "Onno", undoes=one.at))
                standing = [s for s in standing if (s.chore, s.place, s.at) != (one.chore, one.place, one.at)]
            else:
                now.append(Chore(name, place, at - ago, "Marit"))
                said.append(now[-1])
                standing.append(now[-1])
        life.at(at, chores=tuple(now))
    kept = all_rows(life.store, CHORES)

    assert sorted(zip(kept["chore"], kept["place"], kept["at"], strict=True)) == sorted(
        (one.chore, one.place, one.at) for one in standing
    )
    assert life.told_again == life.alerts
    life.store.verify()


@settings(quick, max_examples=12)
@given(scripts)
def test_a_life_in_which_things_are_taken_back_is_told_again(script: Script) -> None:
    """Among rows, restarts and edited rules."""
    what = [("chore", {"chore": "filter", "place": "1"}), ("not done", 0)]
    life = lived([*script, *((600, one) for one in what), *script[:3]])

    assert life.told_again == life.alerts


@pytest.mark.parametrize("late", [False, True])
def test_a_chore_that_a_clock_had_dated_ahead_is_taken_back_as_well(late: bool) -> None:
    """Its moment was put back with the clock; it is meant by the one it had, and by the one it has now."""
    life = a_day()
    ahead, now = moment("15:00"), moment("09:45")
    life.at(ahead, chores=(Chore("filter", "1", ahead, "Marit"),))
    back = Chore("filter", "1", now + 60, "Marit", undoes=now if late else ahead)
    if not late:
        put_chore(life.store, back)
    life._step(Tick(now, TickKind.RUN, (), *waiting_inputs(life.store), now - ahead))
    life.at(now + 60, chores=(back,) if late else ())

    assert all_rows(life.store, CHORES).empty
    assert life.told_again == life.alerts
