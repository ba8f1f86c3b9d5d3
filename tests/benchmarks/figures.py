"""What is measured, and how: the best of several runs, beside what it is measured against, as a ratio."""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from rich.table import Table as Printed

from sentinel.edges.clock import Clock


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table.

    `took` and `against` are in `unit`; `against` 0 means that the figure stands alone. `goal` is the highest ratio (or
    the highest figure, if it stands alone) that is wanted; 0 if none was set.
    """

    what: str
    took: float
    beside: str = ""
    against: float = 0.0
    goal: float = 0.0
    unit: str = "s"

    @property
    def ratio(self) -> float:
        """How many times what it is measured against; the figure itself if it stands alone."""
        return self.took / self.against if self.against else self.took

    @property
    def said(self) -> str:
        """Whether the goal was reached."""
        return "" if not self.goal else "reached" if self.ratio <= self.goal else "NOT reached"


def best_of(times: int, work: Callable[[], Any]) -> float:
    """The least seconds that a piece of work took in several runs."""
    clock, least = Clock(), float("inf")
    for _ in range(times):
        gc.collect()
        begun = clock.steady()
        kept = work()
        least = min(least, clock.steady() - begun)
        del kept
    return least


def printed(figures: Sequence[Figure]) -> Printed:
    """The figures as a table."""
    table = Printed("what", "took", "beside", "which took", "ratio", "goal", "")
    for column in table.columns[1:2] + table.columns[3:6]:
        column.justify = "right"
    for one in figures:
        alone = not one.against
        table.add_row(
            one.what,
            amount(one.took, one.unit),
            one.beside,
            "" if alone else amount(one.against, one.unit),
            "" if alone else in_short(one.ratio),
            "" if not one.goal else f"at most {amount(one.goal, one.unit) if alone else in_short(one.goal)}",
            one.said,
        )
    return table


def amount(value: float, unit: str) -> str:
    """A figure with its unit; short times in ms.

    >>> amount(0.0123, "s"), amount(12.3, "s"), amount(149.6, "MB")
    ('12.3 ms', '12.30 s', '150 MB')
    """
    if unit == "s":
        return f"{1000 * value:.1f} ms" if value < 1 else f"{value:.2f} s"
    return f"{value:.0f} {unit}" if unit else f"{in_short(value)} times"


def in_short(ratio: float) -> str:
    """A ratio; small ones in %.

    >>> in_short(2.345), in_short(0.00812)
    ('2.35', '0.81 %')
    """
    return f"{ratio:.2f}" if ratio >= 0.1 else f"{100 * ratio:.2f} %"
