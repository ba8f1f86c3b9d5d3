"""Milking visits in the open ICAR ADE standard (1.3, 1.4) are read without a map, each item by itself."""

import json
from collections.abc import Mapping
from typing import Any

import pytest
from icar.enums import IcarMilkingRemarksType

from sentinel.flow.feeds import looks_like_icar, read_icar
from sentinel.flow.feeds.formats.icar_visit import REMARKS
from sentinel.flow.model import Batch, Export, SetAside
from sentinel.flow.tables import NOT_WHOLE, UNKNOWN

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
        ({"milkingComplete": False}, NOT_WHOLE),
        ({"milkingComplete": False, "milkingMilkWeight": {"unitCode": "KGM", "value": 0.3}}, NOT_WHOLE),
        ({"milkingComplete": False, "milkingMilkWeight": {"unitCode": "LTR", "value": 0}}, NOT_WHOLE),
        ({"milkingRemarks": ["MilkingIncomplete"]}, NOT_WHOLE),
        ({"milkingComplete": None, "milkingRemarks": ["MilkingIncomplete", "AnimalSick"]}, NOT_WHOLE),
        ({"milkingComplete": "perhaps", "milkingRemarks": ["MilkingIncomplete"]}, NOT_WHOLE),
        ({"milkingComplete": False, "milkingRemarks": 3}, NOT_WHOLE),
        ({"milkingComplete": False, "milkingMilkWeight": {"unitCode": "KGM", "value": 0}}, "failed"),
        ({"milkingComplete": None}, None),
        ({"milkingComplete": None, "milkingMilkWeight": {"unitCode": "KGM", "value": 0}}, None),
        ({"milkingComplete": True, "milkingRemarks": ["TeatSeparated"]}, "milked"),
        ({"milkingComplete": True, "milkingRemarks": ["Automatic"]}, "milked"),
        ({"milkingComplete": None, "milkingRemarks": ["Automatic"]}, UNKNOWN),
        ({"milkingComplete": "perhaps"}, UNKNOWN),
        ({"milkingComplete": True, "milkingRemarks": "MilkingIncomplete"}, UNKNOWN),
        ({"milkingComplete": True, "milkingRemarks": [["MilkingIncomplete"]]}, UNKNOWN),
    ],
)
def test_how_a_visit_ended_is_read_and_never_guessed(change: dict[str, Any], outcome: str | None) -> None:
    """Complete, not whole, failed without milk; missing where it is not told, unknown where it cannot be read."""
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


EARLY, LATE = 1774679400, 1774683000


def read_between(item: Any) -> Batch:
    """The batch of three items, of which the middle one is told; the others are half past six and half past seven."""
    return read(VISIT, item, VISIT | {"milkingStartingDateTime": "2026-03-28T09:30:00+02:00"})


def the_one(batch: Batch) -> SetAside:
    """The one thing that could not be read: of item 2, with its text."""
    (one,) = batch.set_aside

    assert one.line == 2
    assert str(one.reason).startswith("item 2: ")
    assert one.row.encode()
    return one


@pytest.mark.parametrize(
    ("item", "said", "who"),
    [
        (3, "is not an object", ""),
        ({}, '"animal": is missing; "milkingStartingDateTime": is missing', ""),
        ({k: v for k, v in VISIT.items() if k != "animal"}, '"animal": is missing', ""),
        (VISIT | {"animal": "217"}, '"animal": is not an object', ""),
        (VISIT | {"animal": {"id": " ", "scheme": "x"}}, '"animal.id": is empty', ""),
        (VISIT | {"animal": {"id": "\ud800", "scheme": "x"}}, '"animal.id": holds half a character', ""),
        (VISIT | {"animal": {"id": 217, "scheme": "x"}}, '"animal.id": input should be a valid string', ""),
        (VISIT | {"milkingStartingDateTime": "2026-03-28T06:30:00"}, "does not say its offset from UTC", "217"),
        (VISIT | {"milkingStartingDateTime": "0001-01-01T00:00:00Z"}, "is not a moment on this farm", "217"),
        (VISIT | {"milkingStartingDateTime": "yesterday"}, '"milkingStartingDateTime": input should be', "217"),
    ],
)
def test_an_item_without_who_or_when_is_set_aside_whole(item: Any, said: str, who: str) -> None:
    """The good ones go on; what can be told of it is: the cow, the box, and between which moments it happened."""
    batch = read_between(item)
    one = the_one(batch)

    assert said in str(one.reason)
    assert [r["start"] for r in rows(batch)] == [EARLY, LATE]
    assert batch.rows[0].lines == (1, 3)
    assert (one.kept, one.tab, one.who) == (False, "visits", who)
    assert one.box == ("2" if isinstance(item, dict) and item else "")
    own_start = isinstance(item, dict) and "milkingStartingDateTime" not in str(one.reason)
    assert (one.begin, one.end) == ((EARLY, EARLY) if own_start else (EARLY, LATE))


def test_an_item_of_an_unknown_kind_may_be_no_visit() -> None:
    """It is set aside, and is nothing that may have been a milking."""
    one = the_one(read_between(VISIT | {"resourceType": "icarHornEvent"}))

    assert 'is a "icarHornEvent", which the ICAR ADE standard does not have' in str(one.reason)
    assert (one.kept, one.tab) == (False, "")


def test_what_the_standard_has_and_this_job_does_not_need_is_passed_over() -> None:
    """It is nobody's trouble, and keeps no feed known."""
    batch = read_between(VISIT | {"resourceType": "icarWeightEventResource"})

    assert (len(rows(batch)), batch.set_aside) == (2, ())
    assert [(one.feed, one.rows, one.set_aside) for one in batch.besides] == [("icar-other", (), ())]


@pytest.mark.parametrize(
    ("around", "begin", "end"),
    [
        ([None, "06:30", "07:30"], None, "06:30"),
        (["06:30", "07:30", None], "07:30", None),
        (["07:30", None, "06:30"], "06:30", "07:30"),
        (["06:30", None, None, "07:30"], "06:30", "07:30"),
        (["07:30", "06:30", None], None, "06:30"),
        ([None], None, None),
    ],
)
def test_an_item_without_a_start_lies_between_its_neighbours(
    around: list[str | None], begin: str | None, end: str | None
) -> None:
    """Whichever way the file runs; at an end of it one of the two moments is not known."""
    starts = [None if clock is None else f"2026-03-28T{clock}:00Z" for clock in around]
    batch = read(*(VISIT | {"milkingStartingDateTime": start or "soon"} for start in starts))

    moments = {"06:30": EARLY, "07:30": LATE, None: None}
    assert {(one.begin, one.end) for one in batch.set_aside} == {(moments[begin], moments[end])}


@pytest.mark.parametrize(
    ("item", "said", "lost"),
    [
        ({k: v for k, v in VISIT.items() if k != "resourceType"}, "", {}),
        (VISIT | {"milkingShiftNumber": "first", "animalMilkingSample": 3}, "", {}),
        (
            VISIT | {"milkingMilkWeight": {"unitCode": "LTR", "value": 1}},
            '"milkingMilkWeight.unitCode": the unit "LTR" is not known here (known: KGM, GRM, LBR)',
            {"milk_kg": None},
        ),
        (
            VISIT | {"milkingMilkWeight": {"unitCode": ["KGM"], "value": 1}},
            "milkingMilkWeight.unitCode",
            {"milk_kg": None},
        ),
        (VISIT | {"milkingMilkWeight": {"value": 1}}, '"milkingMilkWeight.unitCode": is missing', {"milk_kg": None}),
        (
            VISIT | {"milkingMilkWeight": {"unitCode": "KGM", "value": float("nan")}},
            '"milkingMilkWeight.value": nan is not a number',
            {"milk_kg": None},
        ),
        (
            VISIT | {"milkingMilkWeight": {"unitCode": "LBR", "value": 10**400}},
            "milkingMilkWeight.value",
            {"milk_kg": None},
        ),
        (VISIT | {"milkingMilkWeight": 12.5}, '"milkingMilkWeight": is not an object', {"milk_kg": None}),
        (
            VISIT | {"milkingVisitDuration": {"unitCode": "DAY", "value": 1}},
            '"milkingVisitDuration.unitCode": the unit "DAY" is not known here',
            {"duration_s": None},
        ),
        (
            VISIT | {"milkingDuration": {"value": "long"}},
            '"milkingDuration.value": input should be a valid number',
            {},
        ),
        (VISIT | {"milkingBoxNumber": 2}, '"milkingBoxNumber": input should be a valid string', {"box": None}),
        (VISIT | {"milkingComplete": "perhaps"}, '"milkingComplete": input should be', {"outcome": UNKNOWN}),
        (VISIT | {"milkingRemarks": ["Automatic"]}, '"milkingRemarks": "Automatic" is not a remark', {}),
        (
            VISIT | {"meta": VISIT["meta"] | {"modified": "lately"}},
            '"meta.modified": input should be',
            {"modified": None},
        ),
        (VISIT | {"quarterMilkings": 3}, '"quarterMilkings": is not a list', {}),
    ],
)
def test_what_cannot_be_read_costs_itself_and_not_the_visit(
    item: dict[str, Any], said: str, lost: dict[str, Any]
) -> None:
    """The visit is kept without it, and one word per item says what it was; what has no column is not looked at."""
    batch = read_between(item)
    by_line = dict(zip([n for r in batch.rows if r.table == "visits" for n in r.lines], rows(batch), strict=True))
    first, middle, last = (by_line[n] for n in (1, 2, 3))
    assert {name: value for name, value in middle.items() if first[name] != value} == {
        name: value for name, value in lost.items() if value is not None
    }
    assert {name for name in first if name not in middle} == {name for name, value in lost.items() if value is None}
    assert last["start"] == LATE
    if said:
        one = the_one(batch)
        assert said in str(one.reason)
        assert (one.kept, one.tab, one.who, one.begin, one.end) == (True, "visits", "217", EARLY, EARLY)
    else:
        assert batch.set_aside == ()


LEFT, RIGHT = VISIT["quarterMilkings"][:2]


@pytest.mark.parametrize(
    ("quarters", "said", "kept"),
    [
        ([LEFT | {"icarQuarterId": None}, RIGHT], '"quarterMilkings.0": icarQuarterId is missing', {"RR": 5.9}),
        ([LEFT | {"icarQuarterId": "Left"}, RIGHT], '"quarterMilkings.0.icarQuarterId": input should be', {"RR": 5.9}),
        ([{"icarQuarterId": None}, RIGHT], "", {"RR": 5.9}),
        ([3, RIGHT], '"quarterMilkings.0": is not an object', {"RR": 5.9}),
        ([LEFT, RIGHT | {"icarQuarterId": "LF"}], "LF is given twice with different values, so neither is kept", {}),
        ([LEFT, LEFT, RIGHT], "", {"LF": 5.1, "RR": 5.9}),
        (
            _conductivity("5,1")["quarterMilkings"],
            'icarQuarterCharacteristics.0": AVGCOND: "5,1" is not a',
            {"LF": None},
        ),
        (_conductivity("inf")["quarterMilkings"], '"inf" is not a number', {"LF": None}),
        (_conductivity("5.1", "XYZ")["quarterMilkings"], 'AVGCOND: the unit "XYZ" is not known here', {"LF": None}),
        (
            [LEFT | {"xposition": "left"}, RIGHT],
            '"quarterMilkings.0.xposition": input should be',
            {"LF": 5.1, "RR": 5.9},
        ),
    ],
)
def test_what_cannot_be_read_of_a_quarter_costs_that_quarter_or_its_value(
    quarters: list[Any], said: str, kept: dict[str, float | None]
) -> None:
    """One of which it is not said which it is, is left out; so are two that are said to be the same and are not."""
    batch = read_between(VISIT | {"quarterMilkings": quarters})
    of_2 = {
        row["quarter"]: row.get("conductivity_mS_cm")
        for part in batch.rows
        if part.table == "quarters"
        for row, line in zip([dict(zip(part.columns, v, strict=True)) for v in part.values], part.lines, strict=True)
        if line == 2
    }

    assert len(rows(batch)) == 3
    assert of_2 == kept
    assert [said in str(one.reason) for one in batch.set_aside] == ([True] if said else [])
    assert all(one.kept for one in batch.set_aside)


def test_the_reasons_of_one_item_are_told_together() -> None:
    """Up to six, and how many more."""
    two = VISIT | {"milkingBoxNumber": 2, "milkingComplete": "perhaps"}
    many = VISIT | {"milkingRemarks": [f"Remark{n}" for n in range(9)]}

    assert str(the_one(read_between(two)).reason).count("; ") == 1
    assert str(the_one(read_between(many)).reason).endswith("; and 3 more")


@pytest.mark.parametrize(
    ("stay", "milking", "attach_s"),
    [(432, 330, 102.0), (432, 432, 0.0), (432, 440, None), (432, 0, None), (432, None, None), (None, 330, None)],
)
def test_the_visit_less_the_milking_is_the_time_to_attach(
    stay: float | None, milking: float | None, attach_s: float | None
) -> None:
    """Where both are given and make sense; no milking took no time to attach for."""
    given = {"milkingVisitDuration": stay, "milkingDuration": milking}
    (visit,) = rows(
        read(VISIT | {name: value and {"unitCode": "SEC", "value": value} for name, value in given.items()})
    )

    assert visit.get("attach_s") == attach_s
    assert visit.get("duration_s") == (stay or milking)


def test_the_remarks_are_those_of_the_standard() -> None:
    """As its model has them."""
    assert {one.value for one in IcarMilkingRemarksType} == set(REMARKS)


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
    (one,) = read_icar(export).set_aside
    assert (one.line, one.kept, one.tab, one.begin, one.end) == (0, False, "visits", None, None)
    assert str(one.reason).startswith("it is not valid JSON")


@pytest.mark.parametrize(
    "content", [b"", b"Cow;Start\n", b'{"a": 1}', b"[1]", b"{" * 3000, b"PK\x03\x04", b'{"member": 3}']
)
def test_other_files_are_not_taken_for_it(content: bytes) -> None:
    """And reading them anyway gives a reason, never an error."""
    export = Export("v.json", content, 0)

    assert not looks_like_icar(export)
    assert read_icar(export).set_aside
