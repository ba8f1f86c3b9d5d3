"""When each chore was done last, by whom, and by when it is due by the farm's rules."""

from __future__ import annotations

from text_tables import moment, moment_text
from view_farm import GRAZING, rows, the_rules

from sentinel.flow.model import Chore
from sentinel.flow.schedule.chores import Kept, Record, kept, record_of, with_word
from sentinel.flow.tables import ChoreFacts, Tables

LOG = """
box  at     event
1    07:00  filter_changed
2    08:00  filter_changed
"""
DONE = """
chore   place  at     person  note
filter  1      09:00  Marit   new box of filters
wire    east   06:45  Tomas   -
"""


def chores(tables: Tables) -> dict[str, Kept]:
    """The farm's chores by their subject."""
    return {one.chore.subject: one for one in kept(tables, the_rules())}


def due(one: Kept, at: str) -> str | None:
    """By when a chore is due as seen at a moment."""
    found = one.due_at(moment(at))
    return None if found is None else moment_text(found)


def test_a_chore_counts_from_when_it_was_done_last_by_hand_or_by_the_boxs_own_log() -> None:
    """As it was known at the moment: at 08:30 Marit had not changed the filter yet."""
    found = chores(rows(box_log=LOG, chores=DONE))

    assert due(found["chore:filter/1"], "08:30") == "16:00"
    assert due(found["chore:filter/1"], "10:00") == "18:00"
    assert due(found["chore:filter/2"], "10:00") == "17:00"


def test_the_strictest_rule_that_asks_for_it_says_within_how_long() -> None:
    """A filter is asked for as a chore (26 h) and of its box (9 h); wires have a class of their own (15 h)."""
    found = chores(rows(box_log=LOG, chores=DONE))

    assert found["chore:filter/1"].alerts_of == (("chore-due", "chore:filter/1"), ("filter-overdue", "box:1"))
    assert found["chore:arm/1"].alerts_of == (("chore-due", "chore:arm/1"),)
    assert due(found["chore:wire/east"], "10:00") == "21:45"


def test_a_chore_that_was_never_seen_counts_from_when_the_farm_was_watched() -> None:
    """The arms since 06:00."""
    assert due(chores(rows())["chore:arm/1"], "10:00") == "1d08:00"


def test_a_chore_that_no_rule_asks_for_is_never_due() -> None:
    """Nor one of which nothing is known."""
    unasked = kept(rows(chores=DONE), {})

    assert [one.due_at(moment("10:00")) for one in unasked] == [None] * len(unasked)
    assert Kept(ChoreFacts("wash", "1"), (moment("10:00"),), 3600, ()).due_at(moment("09:00")) is None


def test_who_did_it_is_told_where_a_person_said_so() -> None:
    """The box's own log names nobody."""
    tables = rows(box_log=LOG, chores=DONE, grazing=GRAZING)

    assert record_of(ChoreFacts("filter", "1"), moment("09:00"), tables) == Record("Marit", "new box of filters", "1")
    assert record_of(ChoreFacts("wire", "east"), moment("06:45"), tables) == Record("Tomas", "", "east")
    assert record_of(ChoreFacts("filter", "1"), moment("07:00"), tables) is None
    assert record_of(ChoreFacts("filter", "2"), moment("09:00"), tables) is None


def test_what_no_tick_has_taken_yet_counts_where_it_is_shown() -> None:
    """Done, not done, and what was taken by a tick meanwhile is there once."""
    known = rows(box_log=LOG, chores=DONE).chores
    filter_2 = Chore("filter", "2", moment("09:30"), "Marit")
    not_1 = Chore("filter", "1", moment("09:31"), "Tomas", undoes=moment("09:00"))
    seen = with_word(known, [filter_2, not_1])

    assert list(zip(seen["chore"], seen["place"], seen["at"], strict=True)) == [
        ("wire", "east", moment("06:45")), ("filter", "2", moment("09:30")),
    ]  # fmt: skip
    assert with_word(seen, [filter_2, not_1]).equals(seen)
    assert with_word(known, []) is known
    assert with_word(Tables().chores, [not_1]).empty
    assert with_word(with_word(Tables().chores, [filter_2]), [Chore("filter", "2", 0, "x", undoes=filter_2.at)]).empty
