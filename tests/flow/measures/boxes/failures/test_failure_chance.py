"""Every try to attach with its chance to fail: which visits are tries, and what a cow's own history makes of it."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from text_tables import table

from sentinel.flow.measures.boxes.failures.failure_chance import (
    RETRY_S,
    UNIT,
    USUAL_FAILED,
    Tries,
    times_failed_before,
    tries_of,
)
from sentinel.flow.measures.boxes.peer_baseline import named


def tries(text: str) -> Tries:
    """The tries among some visits."""
    visits = table("visits", text)
    return tries_of(visits, named(visits))


def test_only_a_visit_at_which_cups_were_to_be_attached_is_a_try() -> None:
    """A refused cow is none; where the export does not say how a visit ended, one without any milk failed."""
    found = tries("""
        cow  start  box  outcome     milk_kg
        1    06:00  1    milked      12
        2    06:10  1    refused     -
        3    06:20  1    incomplete  4
        4    06:30  1    failed      -
        5    06:40  1    -           0
        6    06:50  1    -           11
        7    07:00  -    failed      -
    """)

    assert [found.who.cows[cow] for cow in found.cow] == ["1", "3", "4", "5", "6", "7"]
    assert found.failed.tolist() == [False, False, True, True, False, True]
    assert found.box.tolist() == [0, 0, 0, 0, 0, -1]


def test_a_new_farm_takes_the_figure_of_the_survey() -> None:
    """5.5 failed of 146.45 milkings per box and day: Tremblay et al. 2016 (from memory, figures from a summary)."""
    found = tries("cow  start  box  outcome\n1  06:00  1  milked\n2  06:10  2  milked")

    assert (found.own / UNIT).round(3).tolist() == [round(5.5 / 146.45, 3)] * 2
    assert round(USUAL_FAILED, 3) == 0.038


def test_a_cow_that_often_fails_is_expected_to_fail() -> None:
    """From the whole days before yesterday; of yesterday and today nothing is known yet."""
    head = "cow  start  box  outcome\n"
    history = "".join(
        f"{cow}  {day}d{hour}:00  1  {'failed' if cow == 7 and hour == 20 else 'milked'}\n"
        for day in range(-20, 0)
        for cow, hour in ((7, "04"), (7, 20), (8, "05"), (8, 21))
    )
    found = tries(head + history + "7  1d12:00  1  milked\n8  1d13:00  1  milked")
    lately = tries(head + "7  00:00  1  failed\n7  1d13:00  1  milked\n8  1d14:00  1  milked")

    assert found.own[-2] > 2 * found.own[-1]
    assert lately.own[-2] == lately.own[-1]


def test_failures_in_a_row_are_counted_up_to_two() -> None:
    """Each within 12 h of the one before; another cow's are not hers, and a milking ends the row."""
    at = np.array([0, 1, 2, 3, 4, 3 + RETRY_S], np.int64)
    cow = np.array([7, 7, 8, 7, 7, 7], np.int64)
    failed = np.array([True, True, True, True, False, True])

    assert times_failed_before(at, cow, failed).tolist() == [0, 1, 0, 2, 2, 0]


@given(st.lists(st.tuples(st.integers(0, 3 * RETRY_S), st.integers(0, 2), st.booleans()), max_size=25).map(sorted))
def test_failures_in_a_row_are_those_of_a_plain_count(rows: list[tuple[int, int, bool]]) -> None:
    """Cow by cow, back from each try."""
    at, cow, failed = (np.array([row[n] for row in rows]) for n in range(3))

    def plain(place: int) -> int:
        hers = [n for n in range(place + 1) if rows[n][1] == rows[place][1]]
        count = 0
        for later, earlier in zip(reversed(hers), list(reversed(hers))[1:], strict=False):
            if count == 2 or not rows[earlier][2] or rows[later][0] - rows[earlier][0] >= RETRY_S:
                break
            count += 1
        return count

    found = times_failed_before(at.astype(np.int64), cow.astype(np.int64), failed.astype(bool))
    assert found.tolist() == [plain(n) for n in range(len(rows))]


def test_what_fails_at_the_other_boxes_just_now_is_expected_here_too() -> None:
    """And a box's own failures are no reason to expect more of it."""
    head = "cow  start  box  outcome\n"
    before = "".join(f"{n}  06:{n:02}  2  {{}}\n" for n in range(10, 30))
    here = "1  07:00  1  milked"
    well, badly = (head + before.format(*[outcome] * 20) for outcome in ("milked", "failed"))
    quiet, bad, own = tries(well + here), tries(badly + here), tries(badly + "1  07:00  2  milked")

    assert bad.own[-1] == quiet.own[-1]
    assert bad.now[-1] > 2 * quiet.now[-1]
    assert own.now[-1] < bad.now[-1]
