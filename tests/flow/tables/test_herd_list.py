"""A cow's state at any time, from rows that say only what has changed."""

from __future__ import annotations

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.tables import COWS, FarmFacts, Tables, frame_types
from sentinel.flow.tables.herd_list import filled_in

HEAD = ("cow", "from", "group", "lactation", "calved_on", "status", "withheld_until", "partial")


def herd(text: str) -> pd.DataFrame:
    """Rows as a frame, of which `-` is missing; times are on the first day."""
    rows = []
    for line in text.strip().splitlines():
        cells = [None if cell == "-" else cell for cell in line.split()]
        row = dict(zip(HEAD, cells, strict=True))
        row["from"] = moment(str(row["from"]))
        row["lactation"] = row["lactation"] and float(row["lactation"])
        for name in ("calved_on", "withheld_until"):
            row[name] = None if row[name] is None else moment(str(row[name]))
        row["partial"] = None if row["partial"] is None else 1.0
        rows.append(row)
    return pd.DataFrame(rows).reindex(columns=list(frame_types(COWS))).astype(frame_types(COWS))


def told(frame: pd.DataFrame, *names: str) -> list[tuple[object, ...]]:
    """Some columns, a missing value as None."""
    part = frame[list(names)].astype(object)
    return [tuple(row) for row in part.where(part.notna(), None).itertuples(index=False)]


def test_a_change_leaves_the_rest_as_it_was() -> None:
    """Her group stays when she is dried off; of another cow nothing is taken over."""
    frame = filled_in(
        herd(
            """
            7  01:00  A  2  00:00  milking  -  -
            9  01:30  B  1  00:00  dry      -  -
            7  02:00  -  -  -      dry      -  yes
            7  03:00  C  -  -      -        -  yes
            """
        )
    )
    hers = frame[frame["cow"] == "7"]

    assert told(hers, "group", "lactation", "status") == [("A", 2, "milking"), ("A", 2, "dry"), ("C", 2, "dry")]
    assert told(frame[frame["cow"] == "9"], "group", "status") == [("B", "dry")]


def test_a_whole_row_says_all_there_is() -> None:
    """What it leaves out is not known any more."""
    frame = filled_in(
        herd(
            """
            7  01:00  A  2  00:00  milking  -  -
            7  02:00  -  -  -      dry      -  yes
            7  03:00  -  -  -      milking  -  -
            """
        )
    )

    assert told(frame, "group", "status") == [("A", "milking"), ("A", "dry"), (None, "milking")]


def test_a_calving_without_its_number_makes_the_lactation_unknown() -> None:
    """The number before would be wrong; one that says it, or the same calving told again, keeps it."""
    day, next_year = moment("00:00"), moment("00:00") + 360 * 86400
    frame = herd("7  01:00  A  2  00:00  milking  -  -")
    again = frame.assign(
        **{"from": next_year, "calved_on": float(next_year), "lactation": float("nan"), "partial": 1.0}
    )
    same = frame.assign(**{"from": day + 9000, "lactation": float("nan"), "partial": 1.0, "group": None})

    assert told(filled_in(pd.concat([frame, again])), "lactation") == [(2,), (None,)]
    assert told(filled_in(pd.concat([frame, same])), "lactation") == [(2,), (2,)]


def test_milk_is_withheld_until_it_no_longer_is() -> None:
    """A second treatment makes it longer, a shorter one does not make it shorter; a row is added for the end."""
    frame = filled_in(
        herd(
            """
            7  01:00  A  2  00:00  milking  -      -
            7  02:00  -  -  -      -        09:00  yes
            7  03:00  -  -  -      -        05:00  yes
            """
        )
    )

    assert told(frame, "from", "status") == [
        (moment("01:00"), "milking"),
        (moment("02:00"), "withheld"),
        (moment("03:00"), "withheld"),
        (moment("09:00"), "milking"),
    ]


def test_a_dry_cow_stays_dry_however_long_her_milk_would_be_withheld() -> None:
    """She is treated when she is dried off; if she calves before it is over, her milk is withheld."""
    frame = filled_in(
        herd(
            """
            7  01:00  A  2  00:00  milking  -      -
            7  02:00  -  -  -      dry      09:00  yes
            7  08:00  -  3  08:00  milking  -      yes
            """
        )
    )

    assert told(frame, "from", "status") == [
        (moment("01:00"), "milking"),
        (moment("02:00"), "dry"),
        (moment("08:00"), "withheld"),
        (moment("09:00"), "milking"),
    ]


def test_changes_are_no_whole_lists() -> None:
    """Where lists name every cow, one cow's event does not make the others gone."""
    frame = filled_in(
        herd(
            """
            7  01:00  A  2  00:00  milking  -  -
            9  01:00  A  1  00:00  milking  -  -
            7  02:00  -  -  -      dry      -  yes
            """
        )
    )
    changes = herd_changes(Tables(cows=frame, farm=FarmFacts(whole_herd_lists=True)))

    assert told(changes, "cow", "status") == [("7", "milking"), ("7", "dry"), ("9", "milking")]


def test_without_changes_nothing_is_touched() -> None:
    """The frame is the very one that was given."""
    frame = herd("7  01:00  A  2  00:00  milking  -  -")

    assert filled_in(frame) is frame


events = st.tuples(
    st.sampled_from("79"),
    st.integers(0, 50),
    st.sampled_from(["milking", "dry", None]),
    st.sampled_from(["A", "B", None]),
    st.one_of(st.none(), st.integers(0, 60)),
)


@settings(deadline=None, max_examples=40)
@given(st.lists(events, min_size=1, max_size=12, unique_by=lambda one: one[:2]), st.randoms())
def test_the_state_does_not_depend_on_the_order_of_the_rows(rows: list[tuple[object, ...]], chance: object) -> None:
    """And at each moment it is what the events up to it say, one after the other."""
    kinds = frame_types(COWS)
    frame = pd.DataFrame(rows, columns=["cow", "from", "status", "group", "withheld_until"]).assign(partial=1.0)
    frame = frame.reindex(columns=list(kinds)).astype(kinds)
    mixed = list(range(len(frame)))
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    filled = filled_in(frame)

    pd.testing.assert_frame_equal(filled_in(frame.iloc[mixed]), filled)
    for cow in "79":
        hers = sorted((row for row in rows if row[0] == cow), key=lambda row: row[1])
        for at in range(62):
            so_far = [row for row in hers if row[1] <= at]
            track = next((row[2] for row in reversed(so_far) if row[2] is not None), None)
            until = max((row[4] for row in so_far if row[4] is not None), default=-1)
            wanted = "withheld" if track != "dry" and at < until else track
            now = filled[(filled["cow"] == cow) & (filled["from"] <= at)]
            assert (None if now.empty else now["status"].iloc[-1]) == wanted


@pytest.mark.parametrize("name", ["group", "lactation", "calved_on", "milkings_allowed", "status"])
def test_every_attribute_of_a_cow_is_kept(name: str) -> None:
    """None of the declared columns is forgotten."""
    assert name in COWS.names
    assert {c.name for c in COWS.columns} == {"cow", "from", "group", "lactation", "calved_on", "milkings_allowed"} | {
        "status",
        "withheld_until",
        "partial",
    }
