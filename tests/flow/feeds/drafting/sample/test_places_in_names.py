"""What files' names and folders say of the box or the tank."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.sample.places_in_names import place_in_names


@pytest.mark.parametrize(
    ("names", "pattern", "values"),
    [
        (["box1/v_0510.csv", "box2/v_0510.csv"], "box{box}/*", ("1", "2")),
        (["Box 1/2026/v.csv", "Box 12/2026/v.csv"], "Box {box}/*", ("1", "12")),
        (["exports/box1/v.csv", "exports/box2/v.csv"], "*/box{box}/*", ("1", "2")),
        (["robot-3_20260510.csv", "robot-4_20260510.csv"], "robot-{box}_*", ("3", "4")),
        (["all/robot-3_20260510.csv"], "robot-{box}_*", ("3",)),
        (["visits_box2.csv", "visits_box1.csv"], "visits_box{box}.*", ("1", "2")),
        (["20260510_box2.csv", "20260511_box1.csv"], "*box{box}.*", ("1", "2")),
        (["Melkbox A/v.csv", "Melkbox B/v.csv"], "Melkbox {box}/*", ("A", "B")),
    ],
)
def test_a_word_for_it_with_a_number_behind_it_is_found(
    names: list[str], pattern: str, values: tuple[str, ...]
) -> None:
    """In folders and in names, whatever else they hold."""
    found = place_in_names("box", names)

    assert found is not None
    assert (found.pattern, found.values) == (pattern, values)


@pytest.mark.parametrize(
    "names",
    [
        ["visits_20260510.csv"],
        ["box1/v.csv", "v.csv"],
        ["boxes/v.csv"],
        ["KW46/v.csv", "KW47/v.csv"],
        [f"box_{n}.csv" for n in range(30)],
        ["tank1/v.csv"],
    ],
)
def test_names_that_do_not_all_say_it_say_nothing(names: list[str]) -> None:
    """Nor do more of them than a farm has boxes, which rather count the files."""
    assert place_in_names("box", names) is None


def test_a_tank_is_looked_for_by_its_own_words() -> None:
    """As in a laboratory's folders."""
    found = place_in_names("tank", ["Tank 1/r.csv", "Tank 2/r.csv"])

    assert found is not None
    assert found.pattern == "Tank {tank}/*"
