"""Events that the ICAR ADE standard's model calls valid are read whole; a broken one loses no more than is broken."""

import json
from collections.abc import Mapping
from copy import deepcopy
from datetime import UTC, datetime
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from icar.resources import IcarMilkingVisitEventResource

from sentinel.flow.feeds import read_icar
from sentinel.flow.feeds.formats.icar_visit import REMARKS
from sentinel.flow.model import Batch, Export
from sentinel.flow.tables import UNKNOWN


def read(event: Any) -> Batch:
    """The batch of one event."""
    return read_icar(Export("v.json", json.dumps([event]).encode(), 0))


def rows(batch: Batch, table: str = "visits") -> list[Mapping[str, Any]]:
    """A table's rows as dictionaries."""
    found = [r for r in batch.rows if r.table == table]
    return [dict(zip(r.columns, values, strict=True)) for r in found for values in r.values]


words = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=8)
names = words.filter(lambda text: text.strip() == text != "")
moments = st.integers(315_532_800, 4_133_894_400).map(lambda second: datetime.fromtimestamp(second, UTC).isoformat())
numbers = st.floats(-1000, 1000) | st.integers(0, 900)


def some(**parts: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """An object with some of these parts; None stands for a part as well as its lack."""
    return st.fixed_dictionaries({}, optional={name: st.none() | part for name, part in parts.items()})


weights = st.fixed_dictionaries({"unitCode": st.just("KGM"), "value": numbers})
durations = some(unitCode=st.sampled_from(["SEC", "MIN"]), value=numbers)
characteristics = st.fixed_dictionaries(
    {"characteristic": st.sampled_from(["AVGCOND", "MAXCOND", "FAT"]), "value": numbers.map(str)},
    optional={"unit": st.sampled_from(["H61", "G42", None]), "measuringDevice": words},
)
quarters = some(
    icarQuarterId=st.sampled_from(["LF", "RF", "LR", "RR"]),
    xposition=numbers,
    yposition=numbers,
    zposition=numbers,
    quarterMilkingDuration=durations,
    quarterMilkingWeight=weights,
    icarQuarterCharacteristics=st.lists(characteristics, max_size=3),
)
needed = st.fixed_dictionaries(
    {
        "resourceType": st.just("icarMilkingVisitEventResource"),
        "animal": st.fixed_dictionaries({"id": names, "scheme": words}),
        "milkingStartingDateTime": moments,
        "milkingMilkWeight": weights,
    }
)
events = st.builds(
    lambda first, more: {**first, **more},
    needed,
    some(
        meta=st.fixed_dictionaries({"source": words, "modified": moments}, optional={"isDeleted": st.booleans()}),
        id=words,
        eventDateTime=moments,
        location=st.fixed_dictionaries({"id": words, "scheme": words}),
        responsible=words,
        milkingDuration=durations,
        milkingVisitDuration=durations,
        milkingType=st.sampled_from(["Manual", "Automated"]),
        milkingComplete=st.booleans(),
        milkingParlourUnit=words,
        milkingBoxNumber=words,
        milkingShiftLocalStartDate=moments,
        milkingShiftNumber=st.integers(0, 9),
        quarterMilkings=st.lists(quarters, max_size=4),
        animalMilkingSample=st.lists(some(bottleIdentifier=words), max_size=2),
        milkCharacteristics=st.lists(characteristics, max_size=2),
        milkingRemarks=st.lists(st.sampled_from(REMARKS), max_size=3),
    ),
)
"""Events that the model calls valid; their start has an offset from UTC, as RFC 3339 and so the schema wants it."""


@settings(max_examples=150, deadline=None)
@given(event=events)
def test_every_event_that_the_standard_calls_valid_gives_its_visit(event: dict[str, Any]) -> None:
    """What is set aside is a quarter of which it is not said which it is, or two that are said to be the same."""
    IcarMilkingVisitEventResource.model_validate(event)
    batch = read(event)
    named = [one["icarQuarterId"] for one in event.get("quarterMilkings") or [] if one.get("icarQuarterId")]
    nameless = [one for one in event.get("quarterMilkings") or [] if one and not one.get("icarQuarterId")]

    (visit,) = rows(batch)
    assert visit["cow"] == event["animal"]["id"]
    assert visit["start"] == int(datetime.fromisoformat(event["milkingStartingDateTime"]).timestamp() // 1)
    assert visit["milk_kg"] == event["milkingMilkWeight"]["value"]
    assert visit.get("outcome") != UNKNOWN
    assert all(one.kept for one in batch.set_aside)
    assert not batch.set_aside or nameless or len(set(named)) < len(named)
    for row in rows(batch, "quarters"):
        assert row["quarter"] in named


LEFT: dict[str, Any] = {
    "icarQuarterId": "LF",
    "xposition": 401,
    "quarterMilkingWeight": {"unitCode": "KGM", "value": 3.5},
    "icarQuarterCharacteristics": [{"characteristic": "AVGCOND", "value": "5.1", "unit": "H61"}],
}
RIGHT: dict[str, Any] = LEFT | {"icarQuarterId": "RR", "xposition": 610}

BREAKS: dict[tuple[str | int, ...], Any] = {
    ("milkingMilkWeight",): {"unitCode": "LTR", "value": 3},
    ("milkingMilkWeight", "value"): "much",
    ("milkingVisitDuration",): {"unitCode": "DAY", "value": 3},
    ("milkingDuration",): "long",
    ("milkingComplete",): "perhaps",
    ("milkingBoxNumber",): ["2"],
    ("milkingRemarks",): ["Automatic"],
    ("quarterMilkings", 0): "left",
    ("quarterMilkings", 0, "icarQuarterId"): "Left",
    ("quarterMilkings", 0, "xposition"): "far",
    ("quarterMilkings", 0, "quarterMilkingWeight"): {"unitCode": "KGM", "value": "much"},
    ("quarterMilkings", 0, "icarQuarterCharacteristics"): [{"characteristic": "AVGCOND", "value": "5,1"}],
    ("quarterMilkings",): 3,
    ("meta",): "me",
}
"""Where an event may be broken, and by what."""

COLUMNS = {
    "milkingMilkWeight": {"milk_kg", "outcome"},
    "milkingVisitDuration": {"duration_s", "attach_s"},
    "milkingDuration": {"duration_s", "attach_s"},
    "milkingComplete": {"outcome"},
    "milkingBoxNumber": {"box"},
    "milkingRemarks": {"outcome"},
    "quarterMilkings": set(),
    "meta": {"modified", "deleted"},
}
"""What of the visit rests on each of them."""


@settings(max_examples=150, deadline=None)
@given(event=events, place=st.sampled_from(list(BREAKS)))
def test_no_more_is_lost_than_cannot_be_read(event: dict[str, Any], place: tuple[str | int, ...]) -> None:
    """With one value of a good event broken, all that does not rest on it is as it was, and one word tells of it."""
    event = {**event, "quarterMilkings": [LEFT, RIGHT]}
    whole, broken = read(event), deepcopy(event)
    here: Any = broken
    for step in place[:-1]:
        here = here[step]
    here[place[-1]] = BREAKS[place]
    part = read(broken)

    rests = COLUMNS[str(place[0])]
    ((before, after),) = zip(rows(whole), rows(part), strict=True)
    assert {k: v for k, v in after.items() if k not in rests and v is not None} == {
        k: v for k, v in before.items() if k not in rests and v is not None
    }
    ((line, kept),) = [(one.line, one.kept) for one in part.set_aside]
    assert (line, kept) == (1, True)
    shared = {"box", "modified", "deleted"}
    quarters_before, quarters_after = (
        {row["quarter"]: {k: v for k, v in row.items() if k not in shared and v is not None} for row in found}
        for found in (rows(whole, "quarters"), rows(part, "quarters"))
    )
    if place != ("quarterMilkings",):
        assert quarters_after["RR"] == quarters_before["RR"]
    if place[0] != "quarterMilkings":
        assert quarters_after == quarters_before
    if len(place) == 3 and place[-1] != "icarQuarterId":
        gone = set(quarters_before["LF"]) - set(quarters_after["LF"])
        assert len(gone) == 1 and quarters_after["LF"].items() <= quarters_before["LF"].items()
