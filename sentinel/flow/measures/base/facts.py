"""Facts that several measures share, each with one name everywhere."""

from __future__ import annotations

from sentinel.flow.measures.base.shape import SAID_ELSEWHERE, FactColumn

HOURS = FactColumn("hours", "over the last", "h")
COWS = FactColumn("cows", "cows counted", "cows")
CONDUCTIVITY = FactColumn("conductivity", "conductivity of this milking", "mS/cm")
BASELINE = FactColumn("baseline", "usual conductivity of this quarter", "mS/cm")
FAILED = FactColumn("failed", "failed", "failures")
VISITS = FactColumn("visits", "visits counted", "visits")
FIRST_AT = FactColumn("first_at", "counted from")
UNCERTAINTY = FactColumn("uncertainty", "give or take", own_unit=True)
PREVIOUS = FactColumn("previous", "the test before", own_unit=True)
CELLS_K_ML = FactColumn("cells_k_ml", "cells of her test", "k/ml")
TANK_K_ML = FactColumn("tank_k_ml", "the tank by these tests", "k/ml")
TANK_WITHOUT_K_ML = FactColumn("tank_without_k_ml", "the tank without her", "k/ml")
OVER = FactColumn("over", "of them over the limit")
LISTED = FactColumn("listed", SAID_ELSEWHERE)
"""The cows that an alert lists: mappings with `cow`, `state`, further figures, and `said`, all of it as a sentence."""
LOW = "low"
"""The `state` of a cow that is listed only to compare with."""
SUSPECTS = tuple(FactColumn(name, SAID_ELSEWHERE) for name in ("suspect", "likeliest", "suspects"))
"""What the page says of the suspects in a part of its own."""

READING_AT = FactColumn("reading_at", "as of the reading at")
BOX = FactColumn("box", "seen at box")
BOUND = FactColumn("bound", "the rule's bound", own_unit=True)
OF_EVERY_ALERT = (READING_AT, BOX, BOUND)
"""What is known of an alert whatever its measure; listed after all else."""
