"""The cows that an alert lists: one on a milk recording is about each of them, though it is no alert on a cow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sentinel.flow.measures.base.facts import LISTED, LOW

Listed = Mapping[str, Any]
"""One cow of a list: `cow`, `state`, her figures, and `said`: all of it as a sentence in the farm's language."""


def listed(facts: Mapping[str, Any]) -> tuple[Listed, ...]:
    """All that an alert lists; empty of most alerts."""
    return tuple(facts.get(LISTED.name) or ())


def to_look_at(facts: Mapping[str, Any]) -> tuple[Listed, ...]:
    """Those that the alert stands for, without others that are listed for comparison."""
    return tuple(one for one in listed(facts) if one["state"] != LOW)


def comes_on_list(before: Mapping[str, Any], now: Mapping[str, Any]) -> Sequence[str]:
    """The cows that an alert stands for now, and did not before: whoever answered it has not seen them."""
    known = {one["cow"] for one in to_look_at(before)}
    return tuple(one["cow"] for one in to_look_at(now) if one["cow"] not in known)
