"""Small maps and exports for the trial's tests: twenty visits of ten cows, as one export writes them."""

from __future__ import annotations

from collections.abc import Callable

from sentinel.flow.feeds import read_export
from sentinel.flow.feeds.trial.tried import Tried, draft_map, tried
from sentinel.flow.model import Export

BEGIN = 1_774_677_600
"""2026-03-28 06:00 UTC."""

MAP = """\
feed: {name}
files: "{name}_*.csv"
times: "%Y-%m-%d %H:%M:%S"
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: {milk}
    duration_s: {stay}
    outcome: {{column: Ended, words: {{done: milked, none: failed}}}}
"""


def map_text(name: str = "visits", milk: str = "Milk", stay: str = "Stay") -> str:
    """The text of the map; without zone and units, unless the fields are given otherwise."""
    return MAP.format(name=name, milk=milk, stay=stay)


def line(n: int, **cells: object) -> str:
    """The n-th visit: a cow of ten, a few minutes after the one before; cells by their titles."""
    at = BEGIN + n * 420 + 13 * (n % 4)
    usual = {
        "Cow": str(100 + n % 10),
        "Start": f"2026-03-28 {6 + (at - BEGIN) // 3600:02}:{(at // 60) % 60:02}:{at % 60:02}",
        "Box": str(1 + n % 2),
        "Milk": f"{8 + n % 7}.{n % 10}",
        "Stay": str(300 + 20 * (n % 9)),
        "Ended": "done",
    }
    return ",".join(str(value) for value in {**usual, **cells}.values())


def export(*lines: str, name: str = "visits_1.csv", modified_at: int = BEGIN + 86_400) -> Export:
    """A file of these lines, written the day after."""
    return Export(name, "\n".join(["Cow,Start,Box,Milk,Stay,Ended", *lines, ""]).encode(), modified_at)


def visits(of: Callable[[int], str] = line, n: int = 20) -> list[str]:
    """So many visits."""
    return [of(i) for i in range(n)]


def tried_on(text: str, *exports: Export, name: str = "feeds/visits.yaml", zone: str = "UTC") -> Tried:
    """The map tried on these files."""
    of_map, problems = draft_map(text, name)
    assert of_map is not None and of_map.feed is not None, problems
    feed = of_map.feed
    return tried(of_map, len(exports), [(one.modified_at, read_export(feed, one, zone)) for one in exports])
