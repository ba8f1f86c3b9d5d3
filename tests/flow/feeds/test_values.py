"""Cells of an export as values: text, numbers, durations and words, each in the habit of its export."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds.values import number_parser


@given(
    st.floats(min_value=-1e12, max_value=1e12, allow_nan=False),
    st.integers(0, 4),
    st.sampled_from([(".", ""), (",", ""), (".", ","), (",", "."), (",", " "), (".", "'"), (",", "\u00a0")]),
)
def test_a_number_in_the_exports_habit_reads_back(value: float, digits: int, marks: tuple[str, str]) -> None:
    """With any decimal mark, with and without thousands parted."""
    decimal, thousands = marks
    written = f"{value:,.{digits}f}".replace(",", "T").replace(".", decimal).replace("T", thousands)

    assert number_parser(decimal, thousands.replace("\u00a0", " "))(written) == float(f"{value:.{digits}f}")


@given(st.text("0123456789.,+-e _'x", max_size=10))
def test_a_number_is_read_exactly_or_refused(text: str) -> None:
    """With a decimal comma and no thousands mark, only digits and one comma are a number: 1.5 is never 15."""
    try:
        value = number_parser(",", "")(text)
    except ValueError:
        return
    assert "." not in text
    assert value == float(text.replace(",", "."))
