"""Where one walks to."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.model import Alert, kind_of
from sentinel.flow.schedule import sections

PLACES = ("boxes", "yard", "field", "tank", "office")
"""Codes of the places, in the order in which they are walked."""

_BY_NOTICE = dict(zip(sections.PLACES, ("boxes", "yard", "field", "office"), strict=True))


def place_of(alert: Alert, boxes: Sequence[str]) -> str:
    """Where an alert is met: as the worklist's notice has it, with the milk room's tank apart from the boxes."""
    return "tank" if kind_of(alert.subject) == "tank" else _BY_NOTICE[sections.place_of(alert, boxes)]
