"""What has come since everything was last judged, and what of it must be looked at again."""

from __future__ import annotations

from text_tables import moment, table
from whole.whole_farm import BOX_FAILURES, LATE_COW, setup_of

from sentinel.flow.evaluation.changes import NEVER, Changes, longest_lasting_s, not_settled
from sentinel.flow.tables import Tables

LASTING = BOX_FAILURES.replace("urgency: now", "lasting: 30 min\n  urgency: now")


def test_exports_add_up_and_the_value_before_stays() -> None:
    """Which tables and cows two exports touched, from when on; that a file was read is always new."""
    before = Changes()
    one = before.with_batch({"visits": {"7"}, "box_log": set()}, 500, unread=False)
    both = one.with_batch({"cow_tests": {"9"}, "box_log": {"1"}}, 300, unread=True)

    assert before == Changes()
    assert one == Changes(tables=frozenset({"visits", "files"}), cows=frozenset({"7"}), earliest=500)
    assert both.tables == {"visits", "cow_tests", "box_log", "files", "unread"}
    assert (both.cows, both.earliest) == ({"7", "9"}, 300)


def test_an_export_without_a_new_row_has_no_earliest_moment() -> None:
    """Only that it was read is new."""
    assert Changes().with_batch({}, None, unread=False) == Changes(tables=frozenset({"files"}), earliest=NEVER)


def test_a_row_of_the_herd_list_changes_everything() -> None:
    """A cow may come into another class or be let go."""
    assert Changes().with_batch({"cows": {"7"}}, 500, unread=False).everything


def test_what_is_not_settled_is_looked_at_again() -> None:
    """Cows whose rows lie past what is decided or may not have lasted; tables that the herd list is ahead of."""
    rules = setup_of(LATE_COW + LASTING).rules
    tables = Tables(
        visits=table("visits", "cow  start  box\n7  05:00  1\n8  05:30  1\n9  06:10  1"),
        cows=table("cows", "cow  from\n7  06:05"),
    )
    decided_until = {"visits": moment("06:00"), "cow_tests": moment("07:00")}
    known = {"visits": moment("06:00")}

    assert longest_lasting_s(rules["box-failures"]) == 1800
    assert not_settled(rules, tables, known, decided_until) == Changes(
        cows=frozenset({"8", "9"}), behind_herd=frozenset({"visits"})
    )
    assert not_settled(rules, tables, {"visits": None}, decided_until) == Changes(everything=True)
