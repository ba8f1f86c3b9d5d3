"""Where a field comes from: one way of saying it, short forms, and the columns that each way needs."""

from __future__ import annotations

import pytest
from pydantic import TypeAdapter, ValidationError

from sentinel.flow.feeds.field_map import AnyField, FieldMap

READ = TypeAdapter[FieldMap](AnyField)


@pytest.mark.parametrize(
    ("said", "names"),
    [
        ("Cow", ("Cow",)),
        (2026, ("2026",)),
        ({"column": "Milk", "unit": "lb"}, ("Milk",)),
        ({"columns": ["Day", "Time"]}, ("Day", "Time")),
        ({"columns": {"LF": "a", "RF": "b"}}, ("a", "b")),
        ({"value": "1"}, ()),
        ({"stamp": True}, ()),
        ({"end": "Left"}, ("Left",)),
        ({"begin": ["Day", "In"], "end": ["Day", "Out"]}, ("Day", "In", "Day", "Out")),
        ({"flags": {"refused": "R", "failed": ["F", {"column": "N", "words": {"x": "yes"}}]}}, ("R", "F", "N")),
        ({"column": "Result", "flags": {"incomplete": "I"}}, ("I", "Result")),
        ({"file_name": "box{box}/*", "is": [1, 2]}, ()),
    ],
)
def test_each_way_names_the_columns_it_needs(said: object, names: tuple[str, ...]) -> None:
    """In the order in which they are read."""
    assert READ.validate_python(said).names() == names


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"column": "a", "value": 1},
        {"end": "a", "stamp": True},
        {"flags": {"refused": "R"}, "value": "milked"},
        {"column": "a", "columns": ["b", "c"]},
        {"begin": "a"},
        {"column": "a", "is": ["1"]},
        ["a"],
        1.5,
    ],
)
def test_two_ways_at_once_or_none_are_refused(said: object) -> None:
    """Only flags may stand beside a column."""
    with pytest.raises(ValidationError):
        READ.validate_python(said)


def test_flags_in_another_order_are_another_map() -> None:
    """A file is read again when their order was changed, and not when nothing was."""
    flags = {"refused": ["R", {"column": "N", "words": {1: True}}], "incomplete": "I"}
    one, again, turned = (
        READ.validate_python({"flags": of}).model_dump() for of in (flags, dict(flags), dict(reversed(flags.items())))
    )

    assert one == again
    assert one != turned
