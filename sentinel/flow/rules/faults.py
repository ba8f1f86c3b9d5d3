"""What is wrong in one rule: a value that knows its place in the rule, before the file is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sentinel.flow.model import Problem, Source
from sentinel.flow.rules.quantities import parse_quantity
from sentinel.flow.yaml.text import Document, Path


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong at `path` inside a rule; `lines` further down where the value is a block of text."""

    path: Path
    message: str
    lines: int = 0

    def problem(self, document: Document, at: Path) -> Problem:
        """The fault as a problem in `document`, for the rule that stands at path `at`."""
        place = document.source((*at, *self.path))
        if self.lines:
            place = Source(place.name, place.line + self.lines)
        label = ".".join(str(step) for step in self.path)
        return Problem(place, f"{label}: {self.message}" if label else self.message)

    def under(self, *steps: str | int) -> Fault:
        """The same fault seen from further up."""
        return Fault((*steps, *self.path), self.message, self.lines)


def quantity_or_fault(value: Any, unit: str, *path: str | int) -> tuple[float | None, list[Fault]]:
    """A written quantity in the asked unit, or the fault that says what would be right."""
    try:
        return parse_quantity(value, unit), []
    except ValueError as error:
        return None, [Fault(path, str(error))]
