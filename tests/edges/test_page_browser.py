"""The page in a real browser at a phone's size: without signal, by its measure and contrast, and for who may enter.

It needs Playwright and a Chromium of the system (`apt-get install chromium`, or $SENTINEL_CHROMIUM); where there is
none these are not run, and say so.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from page_farm import AT, KEY, InMemory

from sentinel.edges.clock import Clock
from sentinel.edges.page import Page, make_app, sign_entry, sign_link
from sentinel.flow.model import Answer, Chore

sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed: the browser is not tried")
sync_playwright = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
CHROMIUM = os.environ.get("SENTINEL_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine: the page is not tried in a browser"),
    pytest.mark.timeout(120),
]

PHONE = {"width": 360, "height": 740}
SCREENS = (PHONE, {"width": 820, "height": 1180}, {"width": 1280, "height": 800})
PAGES = ("/", "/alert/17", "/round", "/find", "/history", "/feeds", "/rules", "/more")
WAIT_MS = 15_000
SCREENSHOTS = Path(__file__).resolve().parents[2] / "test-artefacts"
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
  if (document.documentElement.scrollWidth > innerWidth) faults.push("wider than the screen");
  return faults;
}"""
"""What is too small to tap (48 px), too faint (WCAG 2.2, 1.4.6: 7 to 1) or too wide; formula of WCAG 2.2."""


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


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """One browser for all of these."""
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


class Served:
    """A farm in memory whose page is served, and what a browser complained of."""

    def __init__(self, browser: Any) -> None:
        self.farm = InMemory()
        self.page = Page(make_app(self.farm, KEY, lambda: self.farm.now), "127.0.0.1", 0)
        self.page.start()
        self.base = f"http://127.0.0.1:{self.page.port}"
        self.browser = browser
        self.complaints: list[str] = []

    def phone(self, link: str, **given: Any) -> Any:
        """A phone that has opened a link."""
        tab = self.browser.new_context(**{"viewport": PHONE, **given}).new_page()
        tab.set_default_timeout(WAIT_MS)
        tab.on("pageerror", lambda error: self.complaints.append(str(error)))
        tab.on("console", lambda said: self.complaints.append(said.text) if "Refused" in said.text else None)
        tab.goto(link)
        return tab

    def own_link(self) -> str:
        """Marit's own link."""
        return sign_entry(self.base, KEY, 1, "Marit")


@pytest.fixture
def served(chromium: Any) -> Iterator[Served]:
    """A farm whose page is served; nothing of it may be refused by its own policy or fail in its script."""
    found = Served(chromium)
    yield found
    for context in chromium.contexts:
        context.close()
    found.page.stop()
    assert found.complaints == []


def test_from_the_notice_an_answer_takes_two_taps(served: Served) -> None:
    """The link, and the finding; with script and without."""
    for script in (True, False):
        served.farm.deeds.clear()
        served.farm.alerts[17] = InMemory().alerts[17]
        finding = "optics dirty" if script else "arm out of line"
        link = sign_link(served.base, KEY, 17, "Marit", AT)
        tab = served.phone(link, java_script_enabled=script)
        tab.click(f"button[value='{finding}']")
        tab.wait_for_selector(f".said:has-text('Noted: {finding}')")

        assert served.farm.deeds == [Answer(17, AT, "Marit", finding)]


def test_what_is_said_without_signal_is_kept_and_sent_once(served: Served) -> None:
    """The page opens as it was, dated; an answer waits on the phone, and arrives once when signal is back."""
    tab = served.phone(served.own_link())
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round') && paths.includes('/alert/17'))")
    tab.context.set_offline(True)

    tab.goto(f"{served.base}/")
    assert tab.locator(".old").is_visible()
    assert "No signal. This is how it was on Monday 4 May at 08:00." in tab.inner_text(".old")
    tab.goto(f"{served.base}/alert/17")
    tab.click("button[value='optics dirty']")
    tab.wait_for_selector("#kept:has-text('waiting on this phone')")
    assert served.farm.deeds == []

    served.farm.now = AT + 3600  # the real clock of the browser is far ahead of this farm's, and taken as now
    tab.context.set_offline(False)
    tab.goto(f"{served.base}/round")
    tab.wait_for_selector("#kept:has-text('Noted: optics dirty')")
    tab.reload()
    tab.wait_for_selector("#kept:has-text('Noted: optics dirty')")
    assert served.farm.deeds == [Answer(17, AT + 3600, "Marit", "optics dirty")]
    tab.click("#kept button")
    until(tab, "document.querySelector('#kept').textContent === ''")


def test_a_conflict_is_shown_until_it_was_seen(served: Served) -> None:
    """Onno answered while Marit's phone had no signal: hers is taken too, and she is told."""
    tab = served.phone(served.own_link())
    until(tab, f"({KEPT}).then((paths) => paths.includes('/alert/17'))")
    served.farm.now = Clock().now()
    tab.context.set_offline(True)
    tab.goto(f"{served.base}/alert/17")
    tab.click("button[value='optics dirty']")
    tab.wait_for_selector("#kept:has-text('waiting on this phone')")
    served.farm.now += 600
    answered = {"answered_at": served.farm.now - 60, "answered_by": "Onno", "finding": "arm out of line"}
    served.farm.alerts[17] = replace(served.farm.alerts[17], **answered)
    served.farm.own[1] = ("Marit", False, served.farm.now + 10**6)
    tab.context.set_offline(False)
    tab.context.clear_cookies()
    tab.goto(served.own_link())
    tab.wait_for_selector("#kept:has-text('Onno had answered at')")

    [deed] = served.farm.deeds
    assert (deed.person, deed.finding) == ("Marit", "optics dirty")
    assert deed.at < served.farm.now - 300


def test_a_withdrawn_link_shows_nothing_and_leaves_nothing_on_the_phone(served: Served) -> None:
    """The next look says who are you, and what the phone had kept of the page is gone."""
    tab = served.phone(served.own_link())
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round'))")
    del served.farm.own[1]
    tab.goto(f"{served.base}/")

    assert "Who are you?" in tab.inner_text("main")
    until(tab, f"({KEPT}).then((paths) => paths.length === 0)")


def test_a_chore_is_ticked_from_the_page(served: Served) -> None:
    """One tap where it is listed."""
    tab = served.phone(served.own_link())
    tab.goto(f"{served.base}/more")
    told = tab.evaluate(
        """async () => { const { token } = await (await fetch("/who")).json();
        const items = [{ number: "tick-0001", kind: "done", chore: "wire", place: "east" }];
        const sent = await fetch("/kept", { method: "POST", headers: { "X-Form-Token": token },
          body: JSON.stringify({ items }) }); return (await sent.json()).said[0].state; }"""
    )

    assert told == "taken"
    assert served.farm.deeds == [Chore("wire", "east", AT, "Marit")]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: str(screen["width"]))
def test_everything_can_be_tapped_and_read(served: Served, scheme: str, screen: dict[str, int]) -> None:
    """Targets of 48 px, text of 7 to 1, nothing wider than the screen; by day and by night; pictures are kept."""
    tab = served.phone(served.own_link(), color_scheme=scheme, viewport=screen)
    found = {}
    for path in PAGES:
        tab.goto(f"{served.base}{path}")
        name = path.strip("/").replace("/", "-") or "now"
        tab.screenshot(path=SCREENSHOTS / f"{name}-{screen['width']}-{scheme}.png", full_page=True)
        found[path] = tab.evaluate(LOOKED_AT)

    assert {path: faults for path, faults in found.items() if faults} == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_to_complain_of(served: Served, scheme: str) -> None:
    """axe-core with all its rules for WCAG 2.2 A to AAA and good practice, on every page."""
    axe = sync_playwright.Axe()
    tab = served.phone(served.own_link(), color_scheme=scheme)
    found = {}
    for path in PAGES:
        tab.goto(f"{served.base}{path}")
        tab.evaluate("() => { for (const d of document.querySelectorAll('details')) d.open = true; }")
        told = axe.run(tab, options={"rules": {"color-contrast-enhanced": {"enabled": True}}}).response
        assert told["passes"]
        found[path] = [(one["id"], one["nodes"][0]["html"]) for one in told["violations"]]

    assert {path: faults for path, faults in found.items() if faults} == {}


def test_an_alert_is_answered_by_keyboard_alone(served: Served) -> None:
    """The first stop leads to the page itself; then tab to the finding and press it."""
    tab = served.phone(f"{served.own_link()}")
    tab.goto(f"{served.base}/alert/17")
    tab.keyboard.press("Tab")
    assert tab.evaluate("document.activeElement.className") == "skip"
    tab.keyboard.press("Enter")
    for _ in range(20):
        tab.keyboard.press("Tab")
        if tab.evaluate("document.activeElement.value") == "optics dirty":
            break
    tab.keyboard.press("Enter")
    tab.wait_for_selector(".said:has-text('Noted: optics dirty')")

    assert served.farm.deeds == [Answer(17, AT, "Marit", "optics dirty")]
