"""What is true, as a scorer needs it: episodes with their subject, their beginning, and the window to be found in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

HOUR_S = 3600
CLINICAL, SUBCLINICAL, SPIKE = "udder-clinical", "udder-subclinical", "udder-spike"
CHRONIC = "udder-chronic"
"""An infection since before the first day: it has no onset to be found from, but its quarter is not healthy."""
UDDER = (CLINICAL, SUBCLINICAL, SPIKE, CHRONIC)
BOX_FAULTS = ("arm-out-of-line", "optics-fouled")
UDDER_WINDOW_S = 48 * HOUR_S
BOX_WINDOW_S = 12 * HOUR_S


@dataclass(frozen=True, slots=True)
class Episode:
    """One true thing: from `start` until `until` (UTC seconds; never ended: a far moment).

    It is to be found by `find_by`. `onset` is where its hours count from: its start, or for a fault that grows little
    by little the moment it is half grown. `suspect` is the word a right first suspect has.
    """

    kind: str
    subject: str
    start: int
    until: int
    onset: int
    find_by: int
    suspect: str = ""
    shape: str = ""


def seconds(text: str) -> int:
    """UTC seconds of an RFC 3339 text.

    >>> seconds("1970-01-02T00:00:00Z")
    86400
    """
    return int(datetime.fromisoformat(text).timestamp())


def episodes(items: Iterable[Mapping[str, Any]], kinds: Iterable[str]) -> list[Episode]:
    """The episodes of some kinds among a truth's items, in order of time.

    The window is 48 h from the onset for an udder and 12 h for a box fault (Hogeveen et al. 2010, Sensors 10:7991:
    at most 48 h; 12 h is our choice, no source), and ends with the episode if that is earlier: a fault that was
    mended was not found by an alert after it.
    """
    wanted = set(kinds)
    found = []
    for item in items:
        if item["kind"] in wanted:
            figures = item.get("figures", {})
            start = seconds(item["from"])
            until = seconds(item["until"]) if item["until"] else 1 << 60
            onset = seconds(figures["counts_from"]) if "counts_from" in figures else start
            window = UDDER_WINDOW_S if item["kind"] in UDDER else BOX_WINDOW_S
            by = min(onset + window, until)
            suspect, shape = figures.get("suspect", ""), figures.get("shape", "")
            found.append(Episode(item["kind"], item["subject"], start, until, onset, by, suspect, shape))
    return sorted(found, key=lambda one: (one.start, one.subject, one.kind))
