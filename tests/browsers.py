"""A real browser for the tests: the system's Chromium as a phone, a tablet or a desk has it, and how it judges a page.

It needs Playwright, axe and a Chromium (`apt-get install chromium`, or $SENTINEL_CHROMIUM). Where one of them is
missing, what needs it is skipped, and says so.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = os.environ.get("SENTINEL_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
_MISSING = [name for name in ("playwright", "axe_playwright_python") if find_spec(name) is None]
_WHY_NOT = f"{', '.join(_MISSING)} not installed" if _MISSING else "" if CHROMIUM else "no Chromium on this machine"

needs_browser = pytest.mark.skipif(bool(_WHY_NOT), reason=f"the page is not tried in a browser: {_WHY_NOT}")

PHONE = {"width": 360, "height": 740}
SCREENS = (PHONE, {"width": 820, "height": 1180}, {"width": 1280, "height": 800})
SCHEMES = ("light", "dark")
WAIT_MS = 15_000
SCREENSHOTS = Path(__file__).resolve().parents[1] / "test-artefacts"
"""What every page looked like at the last run; not kept by git."""

LOOKED_AT = """() => {
  for (const d of document.querySelectorAll("details")) d.open = true;
  const part = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const rgb = (s) => { const n = s.match(/[\\d.]+/g).map(Number); return n[3] === 0 ? null : n.slice(0, 3); };
  const ground = (e) => { for (; e; e = e.parentElement) {
    const found = rgb(getComputedStyle(e).backgroundColor); if (found) return found; } return [255, 255, 255]; };
  const faults = [];
  for (const e of document.querySelectorAll("a, button, summary, input:not([type=hidden]), select, textarea")) {
    const box = e.getBoundingClientRect();
    if (!box.width || e.className === "skip") continue;
    if (box.height < 47.5 || box.width < 47.5) faults.push(`small: ${e.textContent.trim()} ${box.width} ${box.height}`);
  }
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !e.getBoundingClientRect().width) continue;
    const style = getComputedStyle(e);
    const ink = rgb(e.closest("svg") ? style.fill : style.color);
    const [high, low] = [light(ink), light(ground(e))].sort((a, b) => b - a);
    if ((high + 0.05) / (low + 0.05) < 7) faults.push(`faint: ${walk.currentNode.textContent.trim()}`);
  }
  for (const e of document.querySelectorAll(".scroll"))
    if (e.scrollWidth > e.clientWidth + 1) faults.push(`cut: ${e.ariaLabel} ${e.scrollWidth} ${e.clientWidth}`);
  if (document.documentElement.scrollWidth > innerWidth) faults.push("wider than the screen");
  return faults;
}"""
"""What is too small to tap (48 px), too faint (WCAG 2.2, 1.4.6: 7 to 1), cut or too wide; formula of WCAG 2.2."""

KEPT = """(async () => {
  const found = [];
  for (const name of await caches.keys()) if (name.startsWith("pages"))
    for (const kept of await (await caches.open(name)).keys()) found.push(new URL(kept.url).pathname);
  return found;
})()"""
"""The pages that a phone has kept."""


def until(tab: Any, so: str) -> None:
    """Wait until something is so in a page; Playwright's own way would need what the page's policy forbids."""
    for _ in range(WAIT_MS // 50):
        if tab.evaluate(so):
            return
        tab.wait_for_timeout(50)
    raise AssertionError(f"not so within {WAIT_MS} ms: {so}")


@contextmanager
def chromium_running() -> Iterator[Any]:
    """The system's Chromium, without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


class Phones:
    """Phones, each with its own memory, and what any of them complained of: scripts that failed or were refused."""

    def __init__(self, browser: Any) -> None:
        self.browser = browser
        self.complaints: list[str] = []

    def phone(self, link: str = "", **given: Any) -> Any:
        """A phone with a page open; by its link, if one is given."""
        context = self.browser.new_context(**{"viewport": PHONE, "has_touch": True, **given})
        tab = context.new_page()
        tab.set_default_timeout(WAIT_MS)
        tab.on("pageerror", lambda error: self.complaints.append(str(error)))
        tab.on("console", lambda said: self.complaints.append(said.text) if "Refused" in said.text else None)
        if link:
            tab.goto(link)
        return tab

    def close(self) -> None:
        """Put all of them away; nobody may have complained."""
        for context in self.browser.contexts:
            context.close()
        assert self.complaints == []


def pictured(tab: Any, name: str) -> None:
    """Keep a picture of the page that is open, in whole, under a name."""
    width = tab.viewport_size["width"]
    for scheme in SCHEMES:
        tab.emulate_media(color_scheme=scheme)
        tab.screenshot(path=SCREENSHOTS / f"{name}-{width}-{scheme}.png", full_page=True)


def judged(tab: Any) -> list[str]:
    """What is too small, too faint or too wide on the page that is open, by day and by night."""
    found = []
    for scheme in SCHEMES:
        tab.emulate_media(color_scheme=scheme)
        found += [f"{scheme}: {fault}" for fault in tab.evaluate(LOOKED_AT)]
    return found


def axe_complaints(tab: Any, *schemes: str) -> list[tuple[str, str]]:
    """What axe-core complains of, by day and by night if neither is named.

    By day with all its rules for WCAG 2.2 A to AAA and good practice; by night with those of contrast.
    """
    from axe_playwright_python.sync_playwright import Axe

    tab.evaluate("() => { for (const d of document.querySelectorAll('details')) d.open = true; }")
    contrast = {"color-contrast-enhanced": {"enabled": True}}
    asked = {"light": {"rules": contrast}, "dark": {"runOnly": ["color-contrast", "color-contrast-enhanced"]}}
    found = []
    for scheme in schemes or SCHEMES:
        tab.emulate_media(color_scheme=scheme)
        told = Axe().run(tab, options=asked[scheme]).response
        assert told["passes"]
        found += [(one["id"], one["nodes"][0]["html"]) for one in told["violations"]]
    return found
