"""A field whose figures hardly are what the map takes them for is asked about, with the unit that would fit."""

from __future__ import annotations

import pytest
from flow.feeds.trial.tried_maps import export, line, map_text, tried_on, visits

from sentinel.flow.feeds.trial.figures import odd_figures, range_of, shown
from sentinel.flow.tables.expected import ANY


def asked(text: str, *lines: str) -> list[str]:
    """What is asked of the figures."""
    return [str(one) for one in odd_figures(tried_on(text, export(*lines)))]


def test_a_usual_herd_is_asked_nothing() -> None:
    """Nor is one with an odd cow, or with a single figure that cannot be."""
    assert asked(map_text(), *visits()) == []
    assert asked(map_text(), *visits(n=60), line(60, Milk="48", Stay="5400"), line(61, Milk="9999")) == []


@pytest.mark.parametrize(
    ("of", "factor", "unit", "what"),
    [
        ("Milk", 2.2046, "lb", "half of the figures are over 24.58 kg, where a herd's lie at 4–22 kg"),
        ("Milk", 1000, "g", "20 of 20 figures cannot be right and would be left out"),
        ("Stay", 1 / 60, "min", "half of the figures are under 6.167 s, where a herd's lie at 30–1500 s"),
        ("Stay", 1000, "ms", "20 of 20 figures cannot be right and would be left out"),
    ],
)
def test_a_wrong_unit_is_found_and_the_right_one_named(of: str, factor: float, unit: str, what: str) -> None:
    """Also where each single figure could be a cow's; with the unit in the map nothing is asked any more."""
    place = {"Milk": 3, "Stay": 4}[of]

    def scaled(n: int) -> str:
        cells = line(n).split(",")
        return ",".join([*cells[:place], f"{float(cells[place]) * factor:.4f}", *cells[place + 1 :]])

    [told] = asked(map_text(), *visits(scaled))
    name = {"Milk": "milk_kg", "Stay": "duration_s"}[of]
    assert told.startswith(f"feeds/visits.yaml:{9 if of == 'Milk' else 10}:5: {name}: {what}")
    assert told.endswith(f"is it in {unit}? Then write unit: {unit}")

    mended = map_text(**{"milk" if of == "Milk" else "stay": f"{{column: {of}, unit: {unit}}}"})
    assert asked(mended, *visits(scaled)) == []


def test_a_span_that_is_read_as_hours_is_minutes() -> None:
    """ "5:20" is h:min and min:sec alike."""
    told = asked(map_text(stay='{column: Stay, unit: "h:min"}'), *visits(lambda n: line(n, Stay=f"{5 + n % 3}:20")))

    assert [one.rpartition("; ")[2] for one in told] == ["is it in min:sec? Then write unit: min:sec"]


def test_many_unusual_figures_are_asked_about() -> None:
    """One in four cows gives 60 kg: no unit explains that, another column may."""
    [told] = asked(map_text(), *visits(lambda n: line(n, Milk="60") if n % 4 == 0 else line(n), 60))

    assert told.endswith("15 of 60 figures are outside 0.5–40 kg; is it the right column, and its unit?")


def test_zeros_are_not_weighed() -> None:
    """Visits at which she was sent on have no milk, and may be most."""
    assert asked(map_text(), *visits(lambda n: line(n, Milk="0") if n % 4 else line(n), 60)) == []


def test_figures_and_ranges_in_words() -> None:
    """Short, and large ones with their thousands marked."""
    assert [shown(value) for value in (10.449, 0.5, 420000)] == ["10.45", "0.5", "420,000"]
    assert range_of(ANY, "mm") == ""
