"""The order in which a person expects names with numbers in them."""

from __future__ import annotations

import re
from collections.abc import Iterable

_NATURAL = re.compile(r"(\d+)")


def natural_key(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key that puts `cow:9` before `cow:10`.

    >>> sorted(["cow:10", "cow:9", "box:2"], key=natural_key)
    ['box:2', 'cow:9', 'cow:10']
    """
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p) for p in _NATURAL.split(text) if p)


def in_order(subjects: Iterable[str]) -> list[str]:
    """Subjects in the order a person expects."""
    return sorted(subjects, key=natural_key)
