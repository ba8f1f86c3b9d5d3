"""What is guessed of one field: its likely source, how sure that is, and what else it could be."""

from __future__ import annotations

from dataclasses import dataclass

from sentinel.flow.feeds.drafting.sample.profile import Source

SURE_PERCENT = 97
"""Guesses below this are asked."""


@dataclass(frozen=True, slots=True)
class Guess:
    """One field's likely source with the certainty in percent, its unit, and what else it could be.

    `unit`: as a map writes it; "" is the column's own. `units`: all that fit, the likeliest first; more than one, or a
    question of `unit_doubt`, is asked. `others`: the columns that come next, the likeliest first.
    `ends`: they say when what it measures ended.
    """

    field: str
    source: Source
    percent: int
    clock: Source | None = None
    unit: str = ""
    units: tuple[str, ...] = ()
    others: tuple[Source, ...] = ()
    ends: bool = False

    @property
    def asked(self) -> bool:
        """Whether a person should look at which column it is."""
        return self.percent < SURE_PERCENT
