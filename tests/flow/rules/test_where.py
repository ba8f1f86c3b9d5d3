"""What a `where` may ask of each kind of subject, and in which words."""

from __future__ import annotations

from typing import Any

import pytest

from sentinel.flow.rules.where import ATTRIBUTES, read_where
from sentinel.flow.subjects import KINDS


@pytest.mark.parametrize(
    ("written", "kind", "where"),
    [
        ({"cow": 217}, "cow", {"cow": ("217",)}),
        ({"group": ["east", 3]}, "cow", {"group": ("east", "3")}),
        ({"lactation": [1, "2"]}, "cow", {"lactation": (1.0, 2.0)}),
        ({"status": "dry"}, "cow", {"status": ("dry",)}),
        ({"planned": True}, "chore", {"planned": ("yes",)}),
        ({"planned": [False, "yes"]}, "chore", {"planned": ("no", "yes")}),
        ({}, "box", {}),
        (None, "box", {}),
    ],
)
def test_values_are_read_as_what_the_attribute_is(written: Any, kind: str, where: dict[str, Any]) -> None:
    """Names as text, numbers as numbers, yes and no also as YAML's own."""
    assert read_where(written, kind) == (where, [])


@pytest.mark.parametrize(
    ("written", "kind", "said"),
    [
        ({"grup": "east"}, "cow", 'grup is not known of a cow (did you mean "group"?)'),
        ({"status": "milkin"}, "cow", 'status "milkin" is not a word used here (did you mean "milking"?)'),
        ({"lactation": "first"}, "cow", 'lactation "first" should be a number'),
        ({"lactation": "nan"}, "cow", 'lactation "nan" should be a number'),
        ({"group": True}, "cow", 'group "True" should be a name'),
        ({"group": {"a": 1}}, "cow", "group \"{'a': 1}\" should be a name"),
        ({"box": 1}, "herd", "box is not known of a herd"),
    ],
)
def test_what_cannot_be_asked_is_told_with_what_was_meant(written: Any, kind: str, said: str) -> None:
    """At its key; and nothing is picked by it."""
    where, (fault,) = read_where({**written}, kind)

    assert f"{fault.path[0]} {fault.message}" == said
    assert not any(where.values())


def test_every_kind_of_subject_has_its_attributes() -> None:
    """Those of the herd list have the values that its column has."""
    assert set(ATTRIBUTES) == {kind.name for kind in KINDS}
    kinds = {column.name: column.kind for column in ATTRIBUTES["cow"]}

    assert kinds["status"] == "word"
    assert kinds["group"] == "text"
    assert kinds["lactation"] in ("count", "number")
