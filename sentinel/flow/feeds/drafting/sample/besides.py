"""Rows of a sample that are no rows: units below the titles, and a last row that adds up the others."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.feeds.drafting.lexicon.titles import unit_in
from sentinel.flow.feeds.values import as_text
from sentinel.flow.visible import visible

_TOTALS = frozenset(
    "summe summen gesamt gesamtsumme total totals totaal totale totaux somme suma sum sums summa razem celkem "
    "i alt ialt sammanlagt grand total subtotal overall average mean mittel mittelwert moyenne".split()
)
"""What a last row of totals is called, from memory; such a row is also told by its form."""

_BESIDES_UNITS = frozenset({"%", "ppm", "-", "#", "n", "d", "dd", "dagen", "tage", "days", "/d", "1/d", "nr", "no"})
_ENOUGH = 3


@dataclass(frozen=True, slots=True)
class Besides:
    """Which rows of a body are none, by their places: the one of units with its cells, and the one of totals."""

    units: Sequence[str] = ()
    totals: int = -1
    word: str = ""
    rows: frozenset[int] = field(default_factory=frozenset)

    def units_of(self, titles: Sequence[str]) -> Mapping[str, str]:
        """The unit of each column that has one, as a map writes it."""
        named = {title: unit_in(f"x [{cell}]") for title, cell in zip(titles, self.units, strict=False) if cell}
        return {title: unit for title, unit in named.items() if unit}

    def remarks(self) -> tuple[str, ...]:
        """What a person is told of them."""
        said = ["the row of units below the titles is no row"] if self.units else []
        if self.totals >= 0:
            said.append(f'the last row adds up the others ("{visible(self.word)}")')
        return tuple(said)

    def skip(self, lines: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """How the lines of these rows begin, as a map skips them, and why; `lines`: of the body's rows, as written."""
        starts = []
        for place in sorted(self.rows):
            written = lines[place].strip("\r\n").lstrip()
            begin = self.word if place == self.totals and written.startswith(self.word) else written[:40].rstrip()
            others = (line for n, line in enumerate(lines) if n not in self.rows)
            if begin and not any(line.lstrip().startswith(begin) for line in others):
                starts.append(begin)
        return tuple(starts), self.remarks()


def rows_besides(body: Sequence[Sequence[Any]], *, ends: bool) -> Besides:
    """Which of a file's first rows are none; `ends` if its last row is among them."""
    texts = [[as_text(cell) for cell in row] for row in body]
    units = texts[0] if len(texts) > 1 and _are_units(texts[0]) else []
    totals = len(texts) - 1
    rest = texts[1 if units else 0 : -1]
    if not (ends and len(rest) >= _ENOUGH and _adds_up(texts[-1], rest)):
        totals = -1
    word = next((cell for cell in texts[-1] if cell), "") if totals >= 0 else ""
    rows = frozenset(([0] if units else []) + ([totals] if totals >= 0 else []))
    return Besides(units, totals, word, rows)


def _are_units(row: Sequence[str]) -> bool:
    """Whether a row holds units and nothing else."""
    filled = [cell.strip("()[] ") for cell in row if cell.strip("()[] ")]
    known = [cell for cell in filled if unit_in(f"x [{cell}]")]
    return bool(known) and all(
        cell in known or cell.lower() in _BESIDES_UNITS or (len(cell) <= 8 and "/" in cell) for cell in filled
    )


_FEW_CELLS = 0.4


def _adds_up(last: Sequence[str], others: Sequence[Sequence[str]]) -> bool:
    """Whether a file's last row is its totals: a word in a column where all others have something else."""
    place = next((n for n, cell in enumerate(last) if cell), -1)
    if place < 0 or any(c.isdigit() for c in last[place]) or not any(c.isalpha() for c in last[place]):
        return False
    above = [row[place] for row in others if row[place]]
    if last[place] in above:
        return False
    if re.sub(r"[^\w ]", "", last[place]).strip().casefold() in _TOTALS:
        return True
    filled = sorted(sum(bool(cell) for cell in row) for row in others)[len(others) // 2]
    there = [cell for cell in last if cell]
    if len(there) <= _FEW_CELLS * filled and str(len(others)) in there:
        return True  # it counts the rows
    return (
        bool(above)
        and all(any(c.isdigit() for c in cell) for cell in above)
        and sum(bool(cell) for cell in last) < 0.7 * filled
    )
