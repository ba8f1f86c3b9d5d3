"""JSON item by item: the same items as in one go, none too long, and no more of them than the bounds allow."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flow.feeds.bounded_files import whole
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds import read_icar
from sentinel.flow.feeds.formats.json_items import LONGEST, Items
from sentinel.flow.model import Export

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 10**20) | st.text(max_size=5), lambda inner: st.lists(inner, max_size=3)
)


@given(
    st.lists(VALUES, max_size=5),
    st.sampled_from([None, 0, 2]),
    st.dictionaries(st.text(max_size=3), VALUES, max_size=3),
)
def test_items_are_what_the_library_would_give_in_one_go(
    items: list[Any], indent: int | None, rest: dict[str, Any]
) -> None:
    """Of a bare list and of a collection, however it is laid out."""
    rest.pop("member", None)
    bare, held = Items(json.dumps(items, indent=indent)), Items(json.dumps(rest | {"member": items}, indent=indent))

    assert (list(bare), bare.listed) == (items, True)
    assert (list(held), held.rest, held.listed) == (items, rest, True)


@given(st.text(alphabet='[]{},:"1a \n', max_size=12))
def test_what_is_no_json_is_none_item_by_item_either(text: str) -> None:
    """Where the library refuses, the items do too."""
    try:
        found = json.loads(text)
    except ValueError:
        with pytest.raises(ValueError):
            list(Items(text))
        return
    if isinstance(found, list):
        assert list(Items(text)) == found


def test_a_list_longer_than_what_is_looked_at_at_once_is_read_whole() -> None:
    """Items that lie across the end of a stretch are not cut."""
    items = [{"n": n, "text": "x" * (n % 700)} for n in range(6000)]
    assert len(text := json.dumps(items)) > 2 * LONGEST
    assert list(Items(text)) == items


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('{"member": [' + "[]," * 500_000 + "1]}", "it has more than 50,000 rows"),
        ('{"member": [[' + "[]," * 500_000 + "1]]}", "it holds an item of more than 1,000,000 characters"),
        ('{"milkingStartingDateTime": 1' + ',"a": "%s"' % ("x" * 600_000) * 2 + "}", "it holds more than 1,000,000 "),
        ('{"member": [], "member": []}', 'it gives "member" twice'),
        ("9" * 5000, "it is not valid JSON: Exceeds the limit"),
    ],
)
def test_icar_files_past_a_bound_are_set_aside_whole(text: str, why: str) -> None:
    """The reason names the bound."""
    assert whole(read_icar(Export("v.json", text.encode(), 0))).startswith(why)
