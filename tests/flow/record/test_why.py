"""Whether a value worked out again is the one in the log."""

from __future__ import annotations

import pytest

from sentinel.flow.record.why import agree


@pytest.mark.parametrize(
    ("logged", "found", "same"),
    [(5.0, 5.0, True), (5.0, 5.0 + 1e-9, True), (1e6, 1e6 + 0.5, True), (5.0, 5.1, False), (5.0, None, False),
     (None, None, True), (None, 5.0, False)],
)  # fmt: skip
def test_two_values_agree_within_what_the_computer_rounds(
    logged: float | None, found: float | None, same: bool
) -> None:
    """A figure that is missing on one side only is a difference."""
    assert agree(logged, found) is same
