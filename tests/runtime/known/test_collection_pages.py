"""A collection that comes in pages: known until its newest row once all pages are there, and a missing one is told."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment
from whole.whole_farm import LATE_COW, Life, setup_of, shipped_rules

from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.flow.model import Batch, Export, TickKind
from sentinel.runtime.ticks import batch_of
from sentinel.simulator.local_time import rfc3339

SETUP = setup_of({"rules/rules.yaml": LATE_COW, "rules/feeds.yaml": shipped_rules()["rules/feeds.yaml"]}, ())


def visit(minute: int) -> dict[str, Any]:
    """A milking that began so many minutes after midnight."""
    return {
        "resourceType": "icarMilkingVisitEventResource",
        "animal": {"id": f"{minute}", "scheme": "example.farm"},
        "milkingStartingDateTime": rfc3339(moment("00:00") + 60 * minute),
        "milkingMilkWeight": {"unitCode": "KGM", "value": 9.0},
        "milkingComplete": True,
    }


def page(name: str, number: int, pages: int, *minutes: int) -> Batch:
    """A page of a collection, with visits at these minutes."""
    view = {"currentPage": number, "totalPages": pages, "totalItems": 9, "first": f"https://example/{name}"}
    text = json.dumps({"view": view, "member": [visit(minute) for minute in minutes]})
    batch = batch_of(SETUP, Export(f"{name}_{number}.json", text.encode(), moment("00:00")))
    assert batch is not None
    return batch


def known(life: Life) -> int | None:
    """Up to how many minutes after midnight the visits are known."""
    until = feed_state(life.store)["icar"][1]
    return None if until is None else (until - moment("00:00")) // 60


def test_a_collection_counts_once_it_is_whole() -> None:
    """Its rows are there before; in which order the pages come does not matter."""
    life = Life(SETUP)
    life.at("01:00", page("a", 3, 3, 50))
    first = known(life)
    life.at("01:01", page("a", 1, 3, 10, 20))
    life.at("01:02", page("a", 2, 3, 30, 40))

    assert (first, known(life)) == (None, 50)
    assert len(life.engine.tables.visits if life.engine.tables else ()) == 5
    assert rows_set_aside(life.store) == []
    assert life.told_again == life.alerts


def test_a_page_that_never_came_is_told_with_the_next_collection() -> None:
    """What stood on it may have happened: it lies between what was known and now."""
    life = Life(SETUP)
    life.at("01:00", page("a", 1, 1, 10))
    life.at("02:00", page("b", 1, 3, 70))
    life.at("02:01", page("b", 3, 3, 110))
    before = known(life)
    life.at("03:00", page("c", 1, 1, 130))
    [row] = rows_set_aside(life.store)

    assert (before, known(life)) == (10, 130)
    assert str(row["reason"]) == "pages 2 of 3 of a collection never came (another page of it is b_1.json)"
    assert row["file"] == "c_1.json"
    [unread] = life.engine.tables.unread.to_dict("records") if life.engine.tables else []
    assert (unread["tab"], unread["begins"], unread["ends"]) == ("visits", moment("00:10"), moment("03:00"))
    assert life.told_again == life.alerts


def test_the_same_page_sent_again_changes_nothing() -> None:
    """Nor does one that is read anew because it grew."""
    life = Life(SETUP)
    life.at("01:00", page("a", 1, 2, 10))
    life.at("01:01", page("a", 1, 2, 10, 20))
    life.at("01:02", page("a", 2, 2, 40))

    assert known(life) == 40
    assert rows_set_aside(life.store) == []


@settings(deadline=None, max_examples=6)
@given(st.permutations([1, 2, 3, 4]), st.integers(0, 3))
def test_a_restart_between_pages_loses_nothing(order: list[int], restart: int) -> None:
    """What came is in the store."""
    life = Life(SETUP)
    for place, number in enumerate(order):
        if place == restart:
            life.restart()
            life.at(moment("01:00") + 100 * place, kind=TickKind.START)
        life.at(moment("01:00") + 100 * place + 1, page("a", number, 4, 10 * number))
        assert known(life) == (40 if place == 3 else None)
    assert life.told_again == life.alerts


@pytest.mark.parametrize(
    "view", [{}, {"currentPage": 1}, {"currentPage": 2, "totalPages": 1}, {"currentPage": True}, 3]
)
def test_a_view_that_names_no_pages_is_none(view: Any) -> None:
    """The file is a collection by itself."""
    text = json.dumps({"view": view, "member": [visit(10)]})
    batch = batch_of(SETUP, Export("x.json", text.encode(), 0))

    assert batch is not None and batch.page is None
