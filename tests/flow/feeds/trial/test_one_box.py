"""A wrong unit of one box of several is asked about, and the right one is named."""

from __future__ import annotations

import pytest
from flow.feeds.trial.tried_maps import export, line, map_text, tried_on

from sentinel.flow.feeds.trial.findings import map_findings
from sentinel.flow.feeds.trial.one_box import unlike_at_one_box


def at_three(n: int, factor: float = 1.0, of: str = "", box: str = "2") -> str:
    """The n-th visit, at one of three boxes, of which one writes a cell in another unit."""
    mine = str(1 + n % 3)
    if not of or mine != box:
        return line(n, Box=mine)
    place = {"Milk": 3, "Stay": 4}[of]
    return line(n, Box=mine, **{of: f"{float(line(n).split(',')[place]) * factor:.4f}"})


def asked(*lines: str, text: str = map_text()) -> list[str]:
    """What is asked of single boxes."""
    return [str(one) for told in unlike_at_one_box([tried_on(text, export(*lines))]).values() for one in told]


def test_boxes_that_are_alike_are_asked_nothing() -> None:
    """Also where one has a third more milk, or a wrong unit in too few visits to tell."""
    assert asked(*(at_three(n) for n in range(90))) == []
    assert asked(*(at_three(n, 1.35, "Milk") for n in range(90))) == []
    assert asked(*(at_three(n, 2.2046, "Milk") for n in range(45))) == []


@pytest.mark.parametrize(
    ("of", "factor", "unit"),
    [("Milk", 2.2046, "lb"), ("Milk", 1000, "g"), ("Stay", 1 / 60, "min"), ("Stay", 1000, "ms")],
)
@pytest.mark.parametrize("box", ["1", "2", "3"])
def test_the_unit_of_one_box_is_named(of: str, factor: float, unit: str, box: str) -> None:
    """Where each figure could be a cow's and where none could; the field is not asked about for the other boxes."""
    lines = [at_three(n, factor, of, box) for n in range(90)]

    [told] = asked(*lines)

    assert told.startswith(f"feeds/visits.yaml:{9 if of == 'Milk' else 10}:5: ")
    assert f"at box {box} half of the figures are over" in told
    assert f"does box {box} write {unit}? " in told
    of_map = tried_on(map_text(), export(*lines))
    assert [str(one) for one in map_findings(map_text(), "feeds/visits.yaml", [of_map])] == [told]


def test_of_two_boxes_it_is_the_one_that_a_unit_explains() -> None:
    """The other way about no unit makes them alike."""
    [told] = asked(*(line(n, Milk=f"{9.3 * 2.2046 ** (n % 2):.2f}") for n in range(60)))

    assert "does box 2 write lb?" in told


def test_a_box_that_changed_with_its_newest_files_is_told_by_those() -> None:
    """Among all files the old ones are many more."""
    old = [export(*(at_three(n) for n in range(90)), name=f"visits_{n}.csv") for n in range(8)]
    new = [export(*(at_three(n, 2.2046, "Milk") for n in range(90)), name=f"visits_9{n}.csv") for n in range(3)]

    [told] = unlike_at_one_box([tried_on(map_text(), *new, *old)]).values()
    assert "does box 2 write lb?" in str(told[0])
    assert unlike_at_one_box([tried_on(map_text(), *old)]) == {}


def test_what_no_unit_explains_is_asked_as_a_column() -> None:
    """Only where the box's figures are no herd's, and the others' are."""
    far = [line(n, Box=str(1 + n % 3), Stay="4000" if n % 3 == 1 else "300") for n in range(90)]
    near = [line(n, Box=str(1 + n % 3), Stay="800" if n % 3 == 1 else "300") for n in range(90)]

    assert [one.rpartition("; ")[2] for one in asked(*far)] == ["is it another column or unit at box 2?"]
    assert asked(*near) == []
