"""A herd's milkings in the order of the arithmetic, what is no reading of milk, and which readings are asked for."""

from __future__ import annotations

import numpy as np
from text_tables import moment, table

from sentinel.flow.measures.udder.change import FAULTS, Milkings, asked_of, changes_of, milkings_of
from sentinel.flow.measures.udder.conductivity import IMPOSSIBLE, KICKED_OFF
from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS
from sentinel.flow.tables import VISITS, FarmFacts, Tables, empty_frame

HEAD = (
    "cow  start  box  outcome  lf_conductivity_mS_cm  rf_conductivity_mS_cm  lf_kicked_off  rf_kicked_off  lf_milk_kg\n"
)


def milkings(text: str) -> Milkings:
    """The milkings among some visits."""
    return milkings_of(Tables(visits=table("visits", HEAD + text)))


def test_milkings_stand_by_cow_then_time_with_the_hours_between_them() -> None:
    """A failed visit is none; over 36 h apart nothing is said of the hours."""
    found = milkings("""
        9    06:00    1  milked      5  5  0  0  3
        217  08:00    1  milked      5  5  0  0  3
        9    12:00    2  failed      -  -  -  -  -
        9    14:00    2  incomplete  5  5  0  0  3
        9    3d06:00  1  milked      5  5  0  0  3
    """)

    assert [(found.cows[cow], at) for cow, at in zip(found.code, found.at, strict=True)] == [
        ("217", moment("08:00")), ("9", moment("06:00")), ("9", moment("14:00")), ("9", moment("3d06:00")),
    ]  # fmt: skip
    assert [None if np.isnan(hours) else hours for hours in found.hours] == [None, None, 8.0, None]


def test_a_quarter_whose_cup_came_off_tells_neither_by_conductivity_nor_by_milk() -> None:
    """A reading that no milk has is a fault, one that is not there is not taken for health."""
    found = milkings("7  06:00  1  milked  5.1  -2  1  0  3\n8  06:00  1  milked  5.1  5.2  0  0  3")
    faults = [[FAULTS[fault] for fault in row] for row in found.fault]

    assert faults[0][:2] == [KICKED_OFF, IMPOSSIBLE]
    assert faults[1][:2] == ["", ""] and all(faults[1][2:])
    assert np.isnan(found.milk_kg[0, 0]) and found.milk_kg[1, 0] == 3.0
    assert np.isnan(found.usable[0]).all() and found.usable[1, 0] == 5.1


def test_the_last_reading_of_each_quarter_is_asked_for_in_any_case() -> None:
    """And its last usable one: by them a rule knows how it stands."""
    found = milkings("""
        7  06:00    1  milked  5.0  5  0  0  3
        7  14:00    1  milked  5.1  5  0  0  3
        7  1d06:00  1  milked  5.2  5  1  0  3
        8  06:00    1  milked  5.0  5  0  0  3
    """)
    late = asked_of(found, FarmFacts(asked_from=moment("2d00:00")))
    of_eight = asked_of(found, FarmFacts(asked_cows=frozenset({"8"})))

    assert late[:, :2].tolist() == [[False, False], [True, False], [True, True], [True, True]]
    assert of_eight[:, 0].tolist() == [False, False, False, True]
    assert asked_of(found, FarmFacts()).sum() == 8


def herd(raised: float = 1.0, all_quarters: bool = False) -> Tables:
    """Three cows milked every eight hours for ten days; at cow 7's last milking her left front is raised."""
    rows = [(cow, day * DAY_S + n * 8 * HOUR_S) for day in range(10) for n in range(3) for cow in ("7", "8", "9")]
    visits = empty_frame(VISITS).reindex(range(len(rows)))
    visits["cow"], visits["box"], visits["outcome"] = [cow for cow, _ in rows], "1", "milked"
    visits["start"] = np.array([at for _, at in rows], np.int64)
    for n, quarter in enumerate(QUARTERS):
        wavering = 1 + 0.004 * np.sin(np.arange(len(rows)) * (n + 1.7))
        visits[f"{quarter.lower()}_conductivity_mS_cm"] = 5.0 * wavering
        if quarter == "LF" or all_quarters:
            visits.loc[len(rows) - 3, f"{quarter.lower()}_conductivity_mS_cm"] *= raised
    return Tables(visits=visits.astype({"start": "int64"}))


def test_a_rise_is_against_the_quarters_own_usual_and_what_all_quarters_do_is_taken_off() -> None:
    """As differences of logarithms: 18 % is 0.17, in one quarter alone or in all four."""

    def last(tables: Tables) -> tuple[float, float]:
        found = milkings_of(tables)
        found, changes, _ = changes_of(found, asked_of(found, FarmFacts()), 0)
        row = int(np.flatnonzero(found.code == 0)[-1])
        return float(changes.rise[row, 0]), float(changes.change[row, 0])

    alone, together = last(herd(1.18)), last(herd(1.18, all_quarters=True))

    assert abs(alone[0] - np.log(1.18)) < 0.02 and abs(together[0] - np.log(1.18)) < 0.02
    assert alone[1] > 0.12
    assert together[1] < 0.06


def test_until_five_milkings_are_known_nothing_is_told() -> None:
    """A new cow has no usual yet."""
    found = milkings_of(herd())
    found, changes, _ = changes_of(found, asked_of(found, FarmFacts()), 0)
    first = np.flatnonzero(found.code == 0)

    assert np.isnan(changes.change[first[:6]]).all()
    assert not np.isnan(changes.change[first[6:]]).any()
