"""Measures by name."""

from __future__ import annotations

import pytest

from sentinel.flow.measures import measure_named


def test_near_miss() -> None:
    """A misspelt name is answered with the nearest one."""
    with pytest.raises(KeyError, match='did you mean "failed_attachments"'):
        measure_named("failed_attachment")


def test_far_miss() -> None:
    """A name like none of them is answered with all of them."""
    with pytest.raises(KeyError, match="known here: hours_since_milking, late_share"):
        measure_named("colour")
