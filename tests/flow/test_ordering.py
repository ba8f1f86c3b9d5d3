"""Names with numbers in them, in the order of a person."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.ordering import in_order, natural_key


@given(st.permutations(["box:2", "cow:9", "cow:10", "herd", "quarter:9/LF", "quarter:10/LF"]))
def test_subjects_stand_in_the_order_a_person_expects(mixed: list[str]) -> None:
    """Cow 9 comes before cow 10, and cow 9's quarter before cow 10's."""
    assert in_order(mixed) == ["box:2", "cow:9", "cow:10", "herd", "quarter:9/LF", "quarter:10/LF"]


@given(st.lists(st.integers(0, 10**12)))
def test_numbers_within_names_are_put_in_order_by_their_size(numbers: list[int]) -> None:
    """However many digits they have."""
    assert sorted((f"cow:{n}" for n in numbers), key=natural_key) == [f"cow:{n}" for n in sorted(numbers)]
