"""What an export holds that could not be read: what it may have been, whom it concerns, and when it happened."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds.unread import MOST_REASONS, Lost, placed_in_time
from sentinel.flow.feeds.values import Between
from sentinel.flow.model import Rows, SetAside
from sentinel.flow.reasons import Reason, as_said

NO_MILK, NO_TIME = as_said("no milk"), as_said("no time")


def visits(*placed: tuple[int, int]) -> Rows:
    """Visits that were read: (line, moment) each."""
    return Rows("visits", ("cow", "start"), tuple(("7", at) for _, at in placed), tuple(line for line, _ in placed))


def test_a_row_without_its_key_is_lost_and_what_is_known_of_it_is_kept() -> None:
    """Whom it may concern, and between which moments it was where its time could mean two."""
    lost = Lost()
    lost.row("visits", Between(NO_TIME, 100, 3700), {"cow": "7", "box": "2"})
    told = lost.fill_in(SetAside(4, "7;2;?", lost.reason))

    assert (told.kept, told.tab, told.who, told.box) == (False, "visits", "7", "2")
    assert (told.begin, told.end) == (100, 3700)


def test_a_row_without_some_cells_is_kept_and_has_its_own_moment() -> None:
    """The same reason of two tables is one."""
    lost = Lost()
    lost.cells("visits", [NO_MILK], {"cow": "7", "box": "2", "start": 500})
    lost.cells("quarters", [NO_MILK, NO_TIME], {"cow": "7", "start": 500})
    told = lost.fill_in(SetAside(4, "", None))

    assert (told.kept, told.tab, told.begin, told.end) == (True, "visits", 500, 500)
    assert lost.reasons == [NO_MILK, NO_TIME]


def test_of_many_reasons_some_are_told_and_the_others_counted() -> None:
    """A row of thirty cells may have as many."""
    lost = Lost()
    lost.cells("visits", [as_said(f"cell {n}") for n in range(MOST_REASONS + 3)], {})

    assert "3 more" in str(lost.reason)
    assert f"cell {MOST_REASONS}" not in str(lost.reason)


def test_a_row_lies_between_its_neighbours_in_the_file() -> None:
    """Also where the newest stands first; at an end of the file one of the two is not known."""
    aside = [SetAside(n, "?", None) for n in (1, 3, 9)]

    rising = placed_in_time(aside, [visits((2, 100), (5, 200))])
    falling = placed_in_time(aside, [visits((2, 200), (5, 100))])

    assert [(one.begin, one.end) for one in rising] == [(None, 100), (100, 200), (200, None)]
    assert [(one.begin, one.end) for one in falling] == [(200, None), (100, 200), (None, 100)]


def test_what_has_its_own_moment_or_no_line_is_left_as_it_is() -> None:
    """A whole file lies nowhere among its rows, and nothing lies among no rows."""
    own, whole, other = SetAside(3, "", None, begin=7, end=7), SetAside(0, "", None), SetAside(3, "", None)

    assert placed_in_time([own, whole], [visits((2, 100), (5, 200))]) == [own, whole]
    assert placed_in_time([other], []) == [other]


@given(st.lists(st.integers(0, 1000), min_size=2, max_size=20).map(sorted), st.data())
def test_the_true_moment_of_a_row_lies_where_it_is_said_to_lie(moments: list[int], data: st.DataObject) -> None:
    """In a file in the order of time, whichever of its rows cannot be read."""
    lost = data.draw(st.integers(0, len(moments) - 1))
    rows = visits(*((line, at) for line, at in enumerate(moments, 2) if line != lost + 2))
    (one,) = placed_in_time([SetAside(lost + 2, "?", Reason("not-a-time", what='"?"'))], [rows])

    assert one.begin is None or one.begin <= moments[lost]
    assert one.end is None or moments[lost] <= one.end
    assert (one.begin is None) == (lost == 0)
