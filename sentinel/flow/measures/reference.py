"""The table of measures in the docs, made from the code."""

from __future__ import annotations

from sentinel.flow.measures import MEASURES
from sentinel.flow.measures.base.shape import Measure, Option

HEAD = ("name", "unit", "per", "what it is", "options", "needs", "source", "check")


def measures_table() -> str:
    """A Markdown table with a line for every measure: name, unit, per what, formula, options, needs, source, check."""
    rows = [HEAD, tuple("---" for _ in HEAD), *(_cells(measure) for measure in MEASURES)]
    return "".join(f"| {' | '.join(cell.replace('|', '/') for cell in row)} |\n" for row in rows)


def _cells(measure: Measure) -> tuple[str, ...]:
    return (
        f"`{measure.name}`",
        measure.unit,
        ", ".join(measure.per),
        measure.doc,
        "; ".join(_option(option) for option in measure.options),
        ", ".join(f"`{table}`" for table in measure.needs),
        measure.source,
        measure.check,
    )


def _option(option: Option) -> str:
    usual = _duration(option.default) if option.unit == "s" else f"{option.default:g} {option.unit}"
    return f"`{option.name}` ({usual}): {option.doc}"


def _duration(seconds: float) -> str:
    return f"{seconds / 3600:g} h" if seconds >= 3600 else f"{seconds / 60:g} min"
