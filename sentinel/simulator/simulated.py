"""What a simulation gives back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from sentinel.flow.tables import Tables
from sentinel.simulator.exports.mistyped import Mistyped
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import Spell
from sentinel.simulator.spec import Calendar, HerdSpec


@dataclass(frozen=True, slots=True)
class Mishaps:
    """What only the exports show: hours without a visit list, corrected rows, when cows left the herd list; and the
    stamps of visit lists that never come."""

    outages: tuple[Spell, ...]
    slips: tuple[Mistyped, ...]
    gone: Mapping[str, int]
    lost: tuple[Spell, ...] = ()


@dataclass(frozen=True)
class Simulated:
    """A simulated herd: its rows as sentinel's own tables, and what really happened as plain data."""

    spec: HerdSpec
    calendar: Calendar
    tables: Tables
    truth: Mapping[str, Any]
    mishaps: Mishaps = field(repr=False)
    exports: ExportPlan = field(repr=False)

    @cached_property
    def items(self) -> list[dict[str, Any]]:
        """The true things, each with `kind`, `subject`, `from`, `until`, `rules`, `expect`, `figures`."""
        return list(self.truth["items"])
