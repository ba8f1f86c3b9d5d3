"""Where the figures of a simulated herd come from, and how a figure is declared with its unit and source."""

from __future__ import annotations

from dataclasses import field
from typing import Any

HOGEVEEN = "Hogeveen et al. 2001, Livest Prod Sci 72:157-167 (107,785 milkings)"
TREMBLAY = (
    "survey of 635 box farms, Tremblay et al. 2016, J Dairy Sci 99:3824 (citation from memory, figures from a summary)"
)
FOX = "Dairy Chemistry and Biochemistry p. 457: milk usually 4.0-5.5 mS/cm"
DAVIS = "Davis et al. 2005, Proc NZ Soc Anim Prod 65:271-275"
MEMORY = "from memory"
ASSUMED = "assumption"
SHORT = DAVIS + " found 8.9 % at 20-80 % of the expected yield, 16 % below 80 %"


def known(value: float, unit: str, source: str) -> Any:
    """A parameter's default value with its unit and source."""
    return field(default=value, metadata={"unit": unit, "source": source})
