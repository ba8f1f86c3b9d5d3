"""Milking visits in the open ICAR ADE standard (1.3, 1.4) are read without a map, each item by itself."""

import json
from collections.abc import Mapping
from typing import Any

import pytest

from sentinel.flow.mapping import looks_like_icar, read_icar
from sentinel.flow.model import Batch, Export

VISIT: dict[str, Any] = {
    "resourceType": "icarMilkingVisitEventResource",
    "meta": {"source": "example.farm", "modified": "2026-03-28T07:00:00Z"},
    "animal": {"id": "217", "scheme": "example.farm"},
    "milkingStartingDateTime": "2026-03-28T06:30:00Z",
    "milkingVisitDuration": {"unitCode": "SEC", "value": 432},
    "milkingMilkWeight": {"unitCode": "KGM", "value": 12.5},
    "milkingComplete": True,
    "milkingBoxNumber": "2",
    "quarterMilkings": [
        {
            "icarQuarterId": "LF",
            "xposition": 401,
            "yposition": -20.5,
            "zposition": 120,
            "quarterMilkingWeight": {"unitCode": "KGM", "value": 3.5},
            "icarQuarterCharacteristics": [
                {"characteristic": "MAXCOND", "value": "6.0", "unit": "H61"},
                {"characteristic": "AVGCOND", "value": "5.1", "unit": "H61"},
            ],
        },
        {"icarQuarterId": "RR", "icarQuarterCharacteristics": [{"characteristic": "MAXCOND", "value": "5.9"}]},
        {"icarQuarterId": "LR"},
    ],
}


def read(*items: Any) -> Batch:
    """The batch of a collection with these items."""
    return read_icar(Export("v.json", json.dumps({"member": items}).encode(), 0))


def rows(batch: Batch, table: str = "visits") -> list[Mapping[str, Any]]:
    """A table's rows as dictionaries."""
    found = [r for r in batch.rows if r.table == table]
    return [dict(zip(r.columns, values, strict=True)) for r in found for values in r.values]


def test_a_visit_becomes_a_visit_and_its_quarters() -> None:
    """Quarters nothing is known of give no row; conductivity is the mean, or the maximum where there is no mean."""
    batch = read(VISIT)

    shared = {"cow": "217", "start": 1774679400, "box": "2", "modified": 1774681200, "deleted": False}
    assert rows(batch) == [shared | {"duration_s": 432.0, "outcome": "milked", "milk_kg": 12.5}]
    left = {"milk_kg": 3.5, "conductivity_mS_cm": 5.1, "x_mm": 401.0, "y_mm": -20.5, "z_mm": 120.0}
    right = {"milk_kg": None, "conductivity_mS_cm": 5.9, "x_mm": None, "y_mm": None, "z_mm": None}
    assert rows(batch, "quarters") == [shared | {"quarter": "LF"} | left, shared | {"quarter": "RR"} | right]
    assert batch.set_aside == ()


@pytest.mark.parametrize(
    ("change", "outcome"),
    [
        ({}, "milked"),
        ({"milkingComplete": False}, "incomplete"),
        ({"milkingRemarks": ["MilkingIncomplete"]}, "incomplete"),
        ({"milkingComplete": None, "milkingRemarks": ["MilkingIncomplete", "AnimalSick"]}, "incomplete"),
        ({"milkingComplete": False, "milkingMilkWeight": {"unitCode": "KGM", "value": 0}}, "failed"),
        ({"milkingComplete": None}, None),
        ({"milkingComplete": None, "milkingMilkWeight": {"unitCode": "KGM", "value": 0}}, None),
        ({"milkingComplete": True, "milkingRemarks": ["TeatSeparated"]}, "milked"),
    ],
)
def test_how_a_visit_ended_is_read_and_never_guessed(change: dict[str, Any], outcome: str | None) -> None:
    """Complete, incomplete, failed without milk; missing where it is not told."""
    assert [r["outcome"] for r in rows(read(VISIT | change, VISIT))] == [outcome, "milked"]


def test_other_units_of_the_un_codes_are_converted() -> None:
    """Pounds (0.45359237 kg: NIST SP 811, from memory), grams, minutes, and microsiemens."""
    quarter = {
        "icarQuarterId": "LF",
        "quarterMilkingWeight": {"unitCode": "GRM", "value": 2500},
        "icarQuarterCharacteristics": [{"characteristic": "AVGCOND", "value": "5900", "unit": "G42"}],
    }
    batch = read(
        VISIT
        | {
            "milkingMilkWeight": {"unitCode": "LBR", "value": 20},
            "milkingVisitDuration": {"unitCode": "MIN", "value": 7.5},
            "quarterMilkings": [quarter],
        }
    )

    (visit,), (left,) = rows(batch), rows(batch, "quarters")
    assert visit["milk_kg"] == pytest.approx(9.0718474, rel=1e-9)
    assert visit["duration_s"] == 450.0
    assert (left["milk_kg"], left["conductivity_mS_cm"]) == (2.5, 5.9)


def _quarter(**change: Any) -> dict[str, Any]:
    return VISIT | {"quarterMilkings": [VISIT["quarterMilkings"][0] | change]}


def _conductivity(value: str, unit: str | None = None) -> dict[str, Any]:
    return _quarter(icarQuarterCharacteristics=[{"characteristic": "AVGCOND", "value": value, "unit": unit}])


@pytest.mark.parametrize(
    ("item", "said"),
    [
        (3, "is not an object"),
        ({}, "resourceType: is missing"),
        ({k: v for k, v in VISIT.items() if k != "animal"}, "animal: is missing"),
        (VISIT | {"resourceType": "icarWeightEvent"}, 'is a "icarWeightEvent", not a milking visit'),
        (VISIT | {"milkingMilkWeight": {"unitCode": "LTR", "value": 1}}, "milkingMilkWeight.unitCode: input should be"),
        (VISIT | {"milkingMilkWeight": {"unitCode": ["KGM"], "value": 1}}, "milkingMilkWeight.unitCode"),
        (VISIT | {"milkingMilkWeight": {"unitCode": "KGM", "value": float("nan")}}, "is not a number"),
        (VISIT | {"milkingMilkWeight": {"unitCode": "LBR", "value": 10**400}}, "too large"),
        (VISIT | {"milkingStartingDateTime": "2026-03-28T06:30:00"}, "does not say its offset from UTC"),
        (VISIT | {"milkingStartingDateTime": "0001-01-01T00:00:00Z"}, "is not a moment on this farm"),
        (VISIT | {"animal": {"id": " ", "scheme": "x"}}, "animal.id is empty"),
        (VISIT | {"animal": {"id": "\ud800", "scheme": "x"}}, "half a character"),
        (VISIT | {"quarterMilkings": VISIT["quarterMilkings"][:1] * 2}, "gives one quarter twice"),
        (_quarter(icarQuarterId=None), "it is not said which quarter"),
        (_quarter(icarQuarterId="Left"), "icarQuarterId"),
        (_conductivity("5,1"), 'AVGCOND: "5,1" is not a number'),
        (_conductivity("5.1", "XYZ"), 'the unit "XYZ" is not known here'),
    ],
)
def test_a_bad_item_is_set_aside_with_its_number_and_text_and_the_good_ones_go_on(item: Any, said: str) -> None:
    """Its number counts from 1."""
    batch = read(VISIT, item, VISIT | {"milkingStartingDateTime": "2026-03-28T09:30:00+02:00"})

    ((line, reason, row),) = [(one.line, one.reason, one.row) for one in batch.set_aside]
    assert line == 2
    assert reason.startswith("item 2: ")
    assert said in reason
    assert row.encode()
    assert [r["start"] for r in rows(batch)] == [1774679400, 1774683000]
    assert batch.rows[0].lines == (1, 3)


def test_corrections_and_deletions_carry_their_marks() -> None:
    """`meta.modified` orders versions; `isDeleted` withdraws the visit and every quarter it names."""
    batch = read(VISIT | {"meta": VISIT["meta"] | {"isDeleted": True, "modified": "2026-03-29T00:00:00+01:00"}})

    assert [(r["deleted"], r["modified"]) for r in rows(batch)] == [(True, 1774738800)]
    assert [(r["quarter"], r["deleted"]) for r in rows(batch, "quarters")] == [("LF", True), ("RR", True), ("LR", True)]


def test_what_no_item_carries_is_left_out() -> None:
    """So that it keeps what another export said."""
    bare = {k: VISIT[k] for k in ("resourceType", "animal", "milkingStartingDateTime", "milkingMilkWeight")}
    batch = read(bare)

    assert [(r.table, r.columns) for r in batch.rows] == [("visits", ("cow", "start", "milk_kg"))]


@pytest.mark.parametrize(
    ("text", "visits"),
    [
        (json.dumps([VISIT, VISIT]), 2),
        (json.dumps(VISIT), 1),
        ("\ufeff" + json.dumps({"view": {"totalItems": 1}, "member": [VISIT]}), 1),
        (json.dumps({"view": {"totalItems": 0}, "member": []}), 0),
    ],
)
def test_collections_lists_single_items_and_empty_pages_are_told_and_read(text: str, visits: int) -> None:
    """With or without a byte order mark, in UTF-8 or UTF-16."""
    for encoding in ("utf-8", "utf-16"):
        export = Export("v.json", text.removeprefix("\ufeff" if encoding == "utf-16" else "").encode(encoding), 0)

        assert looks_like_icar(export)
        assert len(rows(read_icar(export))) == visits
        assert read_icar(export).set_aside == ()


def test_a_truncated_file_is_still_told_and_set_aside_whole() -> None:
    """Half a JSON file holds no rows."""
    export = Export("v.json", json.dumps({"member": [VISIT, VISIT]}).encode()[:-40], 0)

    assert looks_like_icar(export)
    assert [(one.line, one.reason.startswith("it is not valid JSON")) for one in read_icar(export).set_aside] == [
        (0, True)
    ]


@pytest.mark.parametrize(
    "content", [b"", b"Cow;Start\n", b'{"a": 1}', b"[1]", b"{" * 3000, b"PK\x03\x04", b'{"member": 3}']
)
def test_other_files_are_not_taken_for_it(content: bytes) -> None:
    """And reading them anyway gives a reason, never an error."""
    export = Export("v.json", content, 0)

    assert not looks_like_icar(export)
    assert read_icar(export).set_aside
