"""What the ICAR ADE standard (1.4) says of animals: her state, her groups, her tests, and when her milk is withheld."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import pytest
from icar import resources
from icar.enums import IcarAnimalLactationStatusType
from text_tables import moment

from sentinel.flow.feeds import looks_like_icar, read_icar
from sentinel.flow.feeds.formats.icar_animals import _LACTATION, COW_KINDS, TEST_KINDS
from sentinel.flow.model import Batch, Export

ZONE = "Europe/Dublin"
WRITTEN = 1_774_700_000
ID = {"id": "217", "scheme": "example.farm"}
META = {"source": "example.farm", "sourceId": "9", "modified": "2026-03-28T08:00:00Z"}
AT, MODIFIED = 1_774_679_400, 1_774_684_800
MIDNIGHT = 1_774_656_000


def of(kind: str, **values: Any) -> dict[str, Any]:
    """An event of cow 217 at 06:30 in UTC; a value of None is left out."""
    event = {"resourceType": kind, "animal": ID, "eventDateTime": "2026-03-28T06:30:00Z", "meta": META, **values}
    return {name: value for name, value in event.items() if value is not None}


def read(*items: Any) -> Batch:
    """What a collection of these items gives."""
    return read_icar(Export("x.json", json.dumps({"member": items}).encode(), WRITTEN), ZONE)


def rows(batch: Batch) -> list[Mapping[str, Any]]:
    """The rows of cows and of tests, without their versions."""
    found = [r for one in batch.every for r in one.rows if r.table in ("cows", "cow_tests")]
    every = [dict(zip(r.columns, values, strict=True)) for r in found for values in r.values]
    return [{n: v for n, v in row.items() if n not in ("modified", "deleted", "partial")} for row in every]


COW = {"cow": "217", "from": AT}
SCC = {"characteristic": "SCC", "value": "180", "unit": "NCL"}
MILK = {"unitCode": "KGM", "value": 31.5}
END = "2026-04-02T06:00:00Z"
END_S = 1_775_109_600


@pytest.mark.parametrize(
    ("item", "row"),
    [
        (of("icarMilkingDryOffEventResource"), COW | {"status": "dry"}),
        (of("icarLactationStatusObservedEventResource", observedStatus="Fresh"), COW | {"status": "milking"}),
        (of("icarLactationStatusObservedEventResource", observedStatus="Lead"), COW | {"status": "dry"}),
        (
            of("icarReproParturitionEventResource", damParity=3),
            COW | {"status": "milking", "calved_on": MIDNIGHT, "lactation": 3},
        ),
        (of("icarReproParturitionEventResource"), COW | {"status": "milking", "calved_on": MIDNIGHT}),
        (
            of("icarLactationResource", eventDateTime=None, id="L", beginDate="2026-03-28T06:30:00Z", parity=2.0),
            COW | {"status": "milking", "calved_on": MIDNIGHT, "lactation": 2},
        ),
        (of("icarWithdrawalEventResource", productType="Milk", endDateTime=END), COW | {"withheld_until": END_S}),
        (
            of(
                "icarTreatmentEventResource",
                withdrawals=[
                    {"productType": "Milk", "endDate": "2026-03-30T06:00:00Z", "market": "a"},
                    {"productType": "Milk", "endDate": END, "market": "b"},
                    {"productType": "Meat", "endDate": "2026-05-30T06:00:00Z"},
                ],
            ),
            COW | {"withheld_until": END_S},
        ),
        (
            of(
                "icarTreatmentProgramEventResource",
                treatments=[of("icarTreatmentEventResource", withdrawals=[{"productType": "Milk", "endDate": END}])],
            ),
            COW | {"withheld_until": END_S},
        ),
        (of("icarMovementDepartureEventResource", departureKind="Sale"), COW | {"status": "gone"}),
        (of("icarMovementDeathEventResource"), COW | {"status": "gone"}),
        (
            of(
                "icarMovementArrivalEventResource",
                animalState={"currentLactationParity": 4, "lastCalvingDate": "2026-01-03"},
            ),
            COW | {"status": "milking", "calved_on": 1_767_398_400, "lactation": 4},
        ),
        (
            of(
                "icarMovementArrivalEventResource",
                animalState={"lastCalvingDate": "2026-01-03", "lastDryingOffDate": "2026-03-01"},
            ),
            COW | {"status": "dry", "calved_on": 1_767_398_400},
        ),
        (of("icarAnimalSetJoinEventResource", animalSetId="fresh"), COW | {"group": "fresh"}),
        (
            of("icarTestDayResultEventResource", milkWeight24Hours=MILK, milkCharacteristics=[SCC]),
            {"cow": "217", "at": AT, "cells_k_ml": 180.0, "milk_kg": 31.5},
        ),
    ],
    ids=lambda value: value.get("resourceType", "") if isinstance(value, dict) else "",
)
def test_an_event_says_what_has_changed(item: dict[str, Any], row: Mapping[str, Any]) -> None:
    """From its own moment on; the standard's own model takes it too."""
    kind = item["resourceType"]
    model = getattr(resources, "I" + kind[1:])
    assert model.model_validate(item | {"id": "1"}) and looks_like_icar(Export("x.json", json.dumps(item).encode(), 0))
    batch = read(item)

    assert rows(batch) == [row]
    assert batch.set_aside == ()


@pytest.mark.parametrize(
    ("change", "row"),
    [
        ({"lactationStatus": "Dry"}, {"from": MODIFIED, "status": "dry"}),
        ({"lactationStatus": "Lactating", "status": "OffFarm"}, {"from": MODIFIED, "status": "gone"}),
        ({"lactationStatus": "Early", "meta": None}, {"from": WRITTEN, "status": "milking"}),
        (
            {"lactationStatus": "Early", "meta": META | {"validFrom": "2026-03-28T06:30:00Z"}},
            {"from": AT, "status": "milking"},
        ),
        ({"meta": META | {"isDeleted": True}}, {"from": MODIFIED, "status": "gone"}),
        ({}, None),
        ({"lactationStatus": "Dry", "gender": "Male"}, None),
    ],
)
def test_an_animal_is_as_she_stands_from_when_that_was_so(
    change: dict[str, Any], row: Mapping[str, Any] | None
) -> None:
    """By the moment that it says itself, else by that of the file."""
    animal = {"resourceType": "icarAnimalCoreResource", "identifier": ID, "specie": "Cattle", "gender": "Female"}
    animal |= {"meta": META}
    batch = read({name: value for name, value in (animal | change).items() if value is not None})

    assert rows(batch) == ([] if row is None else [{"cow": "217", **row}])
    assert batch.set_aside == ()


@pytest.mark.parametrize(
    ("item", "said"),
    [
        (of("icarMilkingDryOffEventResource", eventDateTime=None), '"eventDateTime": is missing'),
        (of("icarMilkingDryOffEventResource", animal=None), '"animal": is missing'),
        (of("icarMilkingDryOffEventResource", eventDateTime="2026-03-28T06:30:00"), "does not say its offset from UTC"),
        (of("icarLactationStatusObservedEventResource", observedStatus="Full"), '"observedStatus": input should be'),
        (of("icarWithdrawalEventResource", productType="Milk"), '"endDateTime": is missing'),
        (
            of("icarTestDayResultEventResource", milkCharacteristics=[SCC | {"value": "many"}]),
            'SCC: "many" is not a number',
        ),
        (of("icarTestDayResultEventResource", milkCharacteristics=[SCC | {"unit": "KGM"}]), "is not known here"),
    ],
)
def test_what_cannot_be_read_is_told(item: dict[str, Any], said: str) -> None:
    """And gives no row; what else the file holds is read."""
    batch = read(of("icarMilkingDryOffEventResource"), item, of("icarMilkingDryOffEventResource"))
    aside = [one for each in batch.every for one in each.set_aside]

    assert len(rows(batch)) == 2
    assert [one.line for one in aside] == [2]
    assert said in str(aside[0].reason)
    assert aside[0].tab in ("cows", "cow_tests")


def test_a_set_says_who_is_in_it_unless_it_is_for_something_else() -> None:
    """A group of a hundred and fifty, and those that are put together for a day's work."""
    members = [{"id": f"{n}", "scheme": "example.farm"} for n in range(150)]
    animals = {"resourceType": "icarAnimalSetResource", "id": "north", "meta": META, "member": members}

    assert {row["group"] for row in rows(read(animals))} == {"north"}
    assert len(rows(read(animals))) == 150
    assert rows(read(animals | {"purpose": "Session"})) == []


def test_a_withdrawn_event_takes_its_row_back() -> None:
    """By the same key."""
    batch = read(of("icarMilkingDryOffEventResource", meta=META | {"isDeleted": True}))
    [part] = batch.rows

    assert dict(zip(part.columns, part.values[0], strict=True))["deleted"] is True


def test_what_an_event_does_not_say_is_no_column_of_its_row() -> None:
    """So that another event of the same moment keeps what it said."""
    batch = read(of("icarMilkingDryOffEventResource"), of("icarAnimalSetJoinEventResource", animalSetId="far"))

    assert {frozenset(part.columns) & {"status", "group"} for part in batch.rows} == {
        frozenset({"status"}),
        frozenset({"group"}),
    }


def test_kinds_in_one_file_are_feeds_of_their_own() -> None:
    """A calving of this morning says nothing of how far the visits are known."""
    visit = of("icarMilkingVisitEventResource", milkingStartingDateTime="2026-03-28T05:00:00Z", milkingMilkWeight=MILK)
    test = of("icarTestDayResultEventResource", milkWeight24Hours=MILK)
    batch = read(of("icarMilkingDryOffEventResource"), test, visit, of("icarWeightEventResource"))

    assert [(one.feed, [part.table for part in one.rows]) for one in batch.every] == [
        ("icar", ["visits"]),
        ("icar-cows", ["cows"]),
        ("icar-tests", ["cow_tests"]),
        ("icar-other", []),
    ]
    assert [part.lines for one in batch.every for part in one.rows] == [(3,), (1,), (2,)]


def test_the_names_are_those_of_the_standard() -> None:
    """Each kind that is read, and every word for how a cow stands."""
    for kind, (model, _) in {**COW_KINDS, **TEST_KINDS}.items():
        assert model.lower() == kind + "resource" and hasattr(resources, model)
    assert {one.value for one in IcarAnimalLactationStatusType} == set(_LACTATION)


def test_days_are_the_farms() -> None:
    """A calving at half past midnight in summer is of that day, which in UTC is the day before."""
    late = of("icarReproParturitionEventResource", eventDateTime="2026-06-30T23:30:00Z")

    assert rows(read(late))[0]["calved_on"] == moment("00:00") - moment("00:00") + 1_782_860_400
