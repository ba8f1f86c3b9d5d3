"""What the page costs a phone, on the demo's farm: `python -m tests.benchmarks.page` from the top of a checkout.

    python -m tests.benchmarks.page [--farm DIR] [--times 3]

DIR is a folder that `sentinel demo --keep DIR` left; without it the demo is played first. Every page is opened in a
real Chromium at a phone's size with nothing kept from before: all bytes that came (headers, style and script included),
the milliseconds to the first byte, to the first paint, and until the largest part of what is seen was painted, each the
middle one of several times. Then once more over a weak line. Prints figures; asserts nothing.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any, NamedTuple

from rich.console import Console
from rich.table import Table

from tests.browsers import PHONE, chromium_running
from tests.screens import addresses
from tests.whole.demo.demo_page import OpenFarm, at_work

PAGES = (
    *addresses("weight", alert="12", cow="400", quarter="RR", box="2", tank="1", rule="late-cow").values(),
    "/alert/5",
)
WEAK = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 0.75e6 / 8}
"""A weak line: 150 ms there and back, 1.6 Mbit/s down (assumption)."""

PAINTED = """() => new Promise((done) => {
  const { responseStart } = performance.getEntriesByType("navigation")[0];
  const first = performance.getEntriesByName("first-contentful-paint")[0];
  let largest = 0;
  new PerformanceObserver((seen) => { largest = seen.getEntries().at(-1).startTime; })
    .observe({ type: "largest-contentful-paint", buffered: true });
  setTimeout(() => done([responseStart, first ? first.startTime : NaN, largest]), 300);
})"""
"""Milliseconds from the tap: to the first byte, to the first paint, to the largest paint."""


class Cost(NamedTuple):
    """What one page cost: bytes in all and of the page alone, requests, and milliseconds."""

    all_bytes: float
    page_bytes: float
    requests: float
    first_byte_ms: float
    first_paint_ms: float
    full_paint_ms: float


def opened(browser: Any, link: str, address: str, line: dict[str, Any] | None = None) -> Cost:
    """Open a page on a phone that has nothing of it yet."""
    context = browser.new_context(viewport=PHONE, service_workers="block")
    context.request.get(link)  # the session's cookie, without the browser having seen anything
    tab = context.new_page()
    wire = context.new_cdp_session(tab)
    came: dict[str, float] = {}
    pages: list[str] = []
    wire.on("Network.loadingFinished", lambda one: came.update({one["requestId"]: one["encodedDataLength"]}))
    wire.on(
        "Network.responseReceived", lambda one: pages.append(one["requestId"]) if one["type"] == "Document" else None
    )
    wire.send("Network.enable")
    if line:
        wire.send("Network.emulateNetworkConditions", line)
    tab.goto(address, wait_until="networkidle")
    first_byte, first_paint, full_paint = tab.evaluate(PAINTED)
    context.close()
    return Cost(sum(came.values()), came[pages[0]], len(came), first_byte, first_paint, full_paint)


def measured(browser: Any, farm: OpenFarm, times: int, line: dict[str, Any] | None = None) -> dict[str, Cost]:
    """What each page costs, the middle one of several times."""
    link = farm.own_link()
    opened(browser, link, f"{farm.base}/")  # the first page after a start fills what the server keeps in memory
    found = {}
    for path in PAGES:
        costs = [opened(browser, link, f"{farm.base}{path}", line) for _ in range(times)]
        found[path] = Cost(*(statistics.median(values) for values in zip(*costs, strict=True)))
    return found


def printed(title: str, found: dict[str, Cost]) -> Table:
    """The figures as a table."""
    table = Table(
        "page", "all, kB", "page alone, kB", "requests", "first byte", "first paint", "full paint", title=title
    )
    for column in table.columns[1:]:
        column.justify = "right"
    for path, cost in found.items():
        weights = (f"{cost.all_bytes / 1000:.1f}", f"{cost.page_bytes / 1000:.1f}", f"{cost.requests:.0f}")
        table.add_row(path, *weights, *(f"{ms:.0f} ms" for ms in cost[3:]))
    return table


def main() -> None:
    """Play the demo if there is none, open its pages, print what they cost."""
    options = argparse.ArgumentParser(
        "python -m tests.benchmarks.page", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--farm", type=Path, help="a folder that `sentinel demo --keep` left")
    options.add_argument("--times", type=int, default=3)
    given = options.parse_args()
    console = Console(width=110)
    with tempfile.TemporaryDirectory() as scratch:
        left = given.farm or Path(scratch) / "demo"
        if given.farm is None:
            console.print("Playing the demo ...")
            command = [sys.executable, "-m", "sentinel", "demo", "--fast", "--keep", str(left)]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        with at_work(left, Path(scratch) / "farm") as farm, chromium_running() as browser:
            console.print(printed("on this machine", measured(browser, farm, given.times)))
            console.print(
                printed(
                    "over a weak line (its delay comes after the first byte here)", measured(browser, farm, 1, WEAK)
                )
            )


if __name__ == "__main__":
    main()
