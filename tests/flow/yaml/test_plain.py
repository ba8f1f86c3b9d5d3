"""YAML text to plain values and places: what a settings file may hold, and what is refused where it stands."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.yaml.plain import DEEPEST, LARGEST_NUMBER, LONGEST_TEXT, MOST_CHARACTERS, MOST_VALUES, NotRead, plain


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("no", "no"),
        ("on", "on"),
        ("true", True),
        ("06:30", "06:30"),
        ("2026-05-04", "2026-05-04"),
        ("0042", 42),
        ('"0042"', "0042"),
        ("1.5", 1.5),
        ("~", None),
        ("", None),
    ],
)
def test_values_are_what_a_farmer_means_by_them(text: str, value: Any) -> None:
    """A `no` is a word and a time of day is text; what stands in quotes is text."""
    assert plain(f"key: {text}")[0] == {"key": value}


def test_every_key_and_item_has_its_place() -> None:
    """Line and column from 1; what an alias repeats stands where it was written."""
    data, places = plain("a: &some\n  - x\n  - b: 1\nc: *some\n")

    assert data == {"a": ["x", {"b": 1}], "c": ["x", {"b": 1}]}
    assert places[("a", 1, "b")] == (3, 5)
    assert places[("c",)] == (4, 1)
    assert places[("c", 1, "b")] == (3, 5)


def test_an_alias_is_a_value_by_itself() -> None:
    """Whoever changes one use of it does not change the other."""
    data, _ = plain("a: &some [x]\nc: *some\n")
    data["a"].append("y")

    assert data["c"] == ["x"]


@pytest.mark.parametrize(
    ("text", "said", "place"),
    [
        ("a: 1\na: 2", "duplicate key", (2, 1)),
        ("a: [", "not valid YAML", (1, 5)),
        ("a: !!python/object x", "a tag", (1, 4)),
        ("? [a]\n: 1", "not a list or a map", (1, 3)),
        ("a: *gone", "names nothing", (1, 4)),
        ("a: 1\n---\nb: 2", "a second document", (2, 1)),
        ("<<: {a: 1}", "write the keys out", (1, 1)),
        ("a: .inf", "a number that nothing here can have", (1, 4)),
        (f"a: {LARGEST_NUMBER + 1}", "a number that nothing here can have", (1, 4)),
        ("a: " + "9" * 500, "500 digits", (1, 4)),
        ("a: b\x00c", "U[+]0000", (1, 5)),
        ('a: "\\0"', "U[+]0000", (1, 4)),
        ("a: " + "[" * DEEPEST + "]" * DEEPEST, "nested more than", (1, DEEPEST + 3)),
        ("x" * (LONGEST_TEXT + 1), "20,001 characters", (1, 1)),
        ("#" * (MOST_CHARACTERS + 1), "is it a settings file?", (1, 1)),
    ],
)
def test_what_sentinel_has_no_use_for_is_refused_where_it_stands(text: str, said: str, place: tuple[int, int]) -> None:
    """In a sentence that says what to do."""
    with pytest.raises(NotRead, match=said) as refused:
        plain(text)
    assert refused.value.place == place


def test_aliases_of_aliases_are_counted_at_each_use() -> None:
    """A file of twenty lines that would be a million values is refused before they are built."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 6)]

    with pytest.raises(NotRead, match=f"more than {MOST_VALUES:,} values"):
        plain("\n".join(lines))


WORDS = st.text(st.characters(exclude_categories=["Cc", "Cs", "Cn"]), max_size=8)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-LARGEST_NUMBER, LARGEST_NUMBER) | WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
)


@given(VALUES)
def test_json_is_read_as_json_reads_it(value: Any) -> None:
    """It is YAML too, and a second reader of it."""
    assert plain(json.dumps(value, ensure_ascii=False))[0] == value
