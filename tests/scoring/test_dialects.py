"""The same herd as visit lists and as ICAR ADE, which says less of it, is told of nearly alike."""

from __future__ import annotations

from functools import cache

import pytest

from sentinel.simulator import HerdSpec, Simulated, simulate

from .dialects import as_icar, called, found, with_drops


@cache
def herds() -> tuple[Simulated, Simulated]:
    """A herd of a seed for choosing, in both dialects."""
    herd = with_drops(simulate(HerdSpec(days=60, seed=3)))
    return herd, as_icar(herd)


def test_how_visits_ended_is_told_from_the_milk() -> None:
    """Of failures with a drop of milk nearly all are failures; no milking that was not whole is taken for one."""
    pairs = called(*herds())

    assert pairs["failed", "incomplete"] < 0.02 * pairs["failed", "failed"]
    assert pairs["incomplete", "incomplete"] > 500
    assert not [pair for pair in pairs if pair[0] != "failed" and pair[0] != pair[1]]


@pytest.mark.parametrize("which", [0, 1], ids=["visit lists", "ICAR ADE"])
def test_a_drop_is_told_at_whole_milkings_only(which: int) -> None:
    """And hardly one for nothing."""
    told = found(herds()[which])

    assert set(told["yield-drop raised at"]) <= {"milked"}
    assert told["yield-drop false"] <= 2


def test_what_the_standard_does_not_say_costs_little() -> None:
    """Foul optics are found by how much longer visits are than milkings; quarters are not told of more for nothing."""
    lists, icar = (found(one) for one in herds())

    assert icar["quarter-conductivity false"] <= 1.1 * lists["quarter-conductivity false"]
    assert icar["cow-failures"] == lists["cow-failures"]
    for what in ("clinical quarters found", "optics found by slow-attach"):
        number = lists[what].partition(" after ")[0]
        assert number[0] == number[-1] != "0"
        assert icar[what].startswith(number)
