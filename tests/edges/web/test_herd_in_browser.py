"""The flow "see the herd" in a real browser: taps and scrolls counted, and where each figure leads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from browsers import SCREENS, Phones, axe_complaints, judged, needs_browser, pictured
from edges.web.herd_year import YearsFarm
from page_farm import AT, KEY, settings

from sentinel.edges.web import WebServer, make_app, sign_entry, sign_link
from sentinel.edges.web.auth.links import THE_HERD

pytestmark = [needs_browser, pytest.mark.timeout(120)]

PHONE = {"width": 390, "height": 844}
IN_SIGHT = """() => {
  const menu = document.querySelector(".tabs").getBoundingClientRect().top;
  return [...document.querySelectorAll("main a.row")].filter(e => e.getAttribute("href").startsWith("#"))
    .filter(e => e.getBoundingClientRect().bottom <= menu).map(e => e.innerText.replace(/\\s+/g, " ").trim());
}"""
"""The figures that are seen without scrolling."""


class Served(Phones):
    """A herd with two years behind it, whose page is served."""

    def __init__(self, browser: Any) -> None:
        super().__init__(browser)
        self.farm = YearsFarm()
        self.page = WebServer(make_app(self.farm, KEY, lambda: self.farm.now), "127.0.0.1", 0)
        self.page.start()
        self.base = f"http://127.0.0.1:{self.page.port}"

    def own_link(self) -> str:
        """Marit's own link."""
        return sign_entry(self.base, KEY, 1, "Marit")


@pytest.fixture
def served(chromium: Any) -> Iterator[Served]:
    """A farm whose page is served."""
    found = Served(chromium)
    yield found
    found.close()
    found.page.stop()


@pytest.mark.parametrize("language", ["en", "de"])
def test_from_the_first_page_the_herd_is_one_tap_away_and_its_figures_need_no_scroll(
    served: Served, language: str
) -> None:
    """Seven figures, each with what is usual, in one screenful of a phone; with script and without."""
    served.farm.plan = settings(f"language: {language}\n")
    for script in (True, False):
        tab = served.phone(served.own_link(), viewport=PHONE, java_script_enabled=script)
        tab.click("main a[href='/herd']")  # the only tap
        tab.wait_for_url("**/herd")
        assert tab.evaluate("scrollY") == 0
        seen = tab.evaluate(IN_SIGHT)
        assert len(seen) == 7, seen
        if language == "en":
            assert seen[0].startswith("40 cows in milk")
            assert seen[4].startswith("3.3 % broken off or failed")
            assert seen[5].startswith("223 k/ml cells in tank 1")
            assert "177 below the limit of 400 · better than a year ago" in seen[5]


def test_every_figure_leads_to_what_it_is_made_of(served: Served) -> None:
    """A tap on each comes to its part of the page, in sight; from there to boxes, tank, cows and alerts."""
    tab = served.phone(served.own_link(), viewport=PHONE)
    tab.goto(f"{served.base}/herd")
    targets = tab.eval_on_selector_all("main a[href^='#']", "all => [...new Set(all.map(e => e.getAttribute('href')))]")
    for target in targets:
        tab.click(f"main a[href='{target}'] >> nth=0")
        top = tab.eval_on_selector(target, "e => e.getBoundingClientRect().top")
        assert -1 <= top < PHONE["height"], target
    assert set(targets) == {"#weeks", "#days", "#late", "#boxes", "#cells", "#standing"}
    links = set(tab.eval_on_selector_all("main a", "all => all.map(e => e.getAttribute('href'))"))
    assert {"/box/1", "/box/2", "/tank/1", "/cow/7", "/cow/9", "/alert/17"} <= links


def test_the_weeks_notice_opens_the_herds_page_for_who_has_no_session(served: Served) -> None:
    """By its own signed link, which is kept as a session and shows no token in the address."""
    tab = served.phone(sign_link(served.base, KEY, THE_HERD, "Marit", AT), viewport=PHONE)

    assert tab.url == f"{served.base}/herd"
    assert tab.inner_text("h1") == "How the herd is doing"
    tab.reload()
    assert tab.inner_text("h1") == "How the herd is doing"


@pytest.mark.parametrize("language", ["en", "de"])
def test_it_can_be_read_and_tapped_at_every_size_and_at_twice_the_letters(served: Served, language: str) -> None:
    """By axe and by measure, light and dark, on phone, tablet and desk; at 200 % nothing is wider than the screen."""
    served.farm.plan = settings(f"language: {language}\n")
    for size in (*SCREENS, PHONE):
        tab = served.phone(served.own_link(), viewport=size)
        tab.goto(f"{served.base}/herd")
        assert judged(tab) == [], size
        assert axe_complaints(tab) == [], size
        if language == "en":
            pictured(tab, "herd-of-two-years")
    tab = served.phone(served.own_link(), viewport=PHONE)
    tab.goto(f"{served.base}/herd")
    tab.evaluate("document.documentElement.style.fontSize = '200%'")
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_its_pictures_say_their_figures_to_who_does_not_see_them(served: Served) -> None:
    """As a text of the picture, and in words under it."""
    tab = served.phone(served.own_link(), viewport=PHONE)
    tab.goto(f"{served.base}/herd")
    said = tab.eval_on_selector_all("svg desc", "all => all.map(e => e.textContent)")

    assert len(said) == 2
    assert said[0].startswith("The tank: from ") and "The cows: from " in said[0] and "limit of the tank" in said[0]
    assert "milkings per cow and day on average" in said[1]
