"""Collections of the open standard: valid by its model, with or without how long a milking took."""

from __future__ import annotations

import pytest
from icar.resources import IcarMilkingVisitEventResource

from sentinel.simulator.exports.icar_collection import icar_visit
from sentinel.simulator.exports.record import Quarter, Record
from sentinel.simulator.local_time import LocalTime

BEGIN = LocalTime("Europe/Dublin").at("2026-05-04 00:00")
NAN = float("nan")


def record(start: int = BEGIN, box: str = "1", outcome: str = "milked", cow: str = "217") -> Record:
    """A visit with four quarters, or without any where nothing was measured."""
    if outcome in ("milked", "incomplete"):
        quarters = (Quarter(4.8, 2.5, outcome == "incomplete", (415.0, 72.0, 492.0)),) * 4
        return Record(start, cow, box, outcome, 425, 71.4, 1, 10.0, quarters)
    none = (Quarter(NAN, NAN, False, (NAN, NAN, NAN)),) * 4
    return Record(start, cow, box, outcome, 226, NAN, 3, 0.0, none)


@pytest.mark.parametrize("outcome", ["milked", "incomplete", "failed"])
def test_icar_visit_is_valid(outcome: str) -> None:
    """A visit of any outcome is valid by the standard's model (package ICAR-pydantic 1.4)."""
    item = IcarMilkingVisitEventResource.model_validate(icar_visit(record(outcome=outcome), BEGIN + 425))

    assert item.animal.id == "217"
    assert item.milkingComplete == (outcome == "milked")
    assert len(item.quarterMilkings or []) == (0 if outcome == "failed" else 4)


def test_icar_visits_may_say_how_long_the_milking_took() -> None:
    """Visit less milking is the time to attach and 35 to 50 s of walking; a visit that failed has no milking."""
    timed = [icar_visit(record(outcome=how), BEGIN + 425, timed=True) for how in ("milked", "incomplete", "failed")]
    one = record(outcome="milked")
    walking = [
        item["milkingVisitDuration"]["value"] - item["milkingDuration"]["value"] - one.attach_s for item in timed[:2]
    ]

    assert all(34.5 <= seconds <= 50.5 for seconds in walking)  # the milking is in whole seconds
    assert "milkingDuration" not in timed[2]
    assert "milkingDuration" not in icar_visit(one, BEGIN + 425)
