"""The files that take longest begin first, so that no worker is left alone with one of them at the end."""

from __future__ import annotations

import pytest

LONGEST = ("test_demo.py", "test_upgrade.py", "test_invariants_demo_week.py", "test_moved_clock.py", "test_reload.py")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Those files first, in this order; all others as they were found."""
    items.sort(key=lambda item: LONGEST.index(item.path.name) if item.path.name in LONGEST else len(LONGEST))
