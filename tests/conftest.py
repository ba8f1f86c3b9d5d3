"""What all tests have in common: a browser, phones, and that the files that take longest begin first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from browsers import Phones, chromium_running

LONGEST = ("test_demo.py", "test_upgrade.py", "test_invariants_demo_week.py", "test_moved_clock.py", "test_reload.py")
"""So no worker is left alone with one of them at the end."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Those files first, in this order; all others as they were found."""
    items.sort(key=lambda item: LONGEST.index(item.path.name) if item.path.name in LONGEST else len(LONGEST))


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """One browser for all tests of a file."""
    with chromium_running() as browser:
        yield browser


@pytest.fixture
def phones(chromium: Any) -> Iterator[Phones]:
    """Phones that are new, and must have nothing to complain of in the end."""
    found = Phones(chromium)
    yield found
    found.close()
