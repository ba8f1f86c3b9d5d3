"""Deciding on a cow with a phone of 390 x 844: what speaks for her being ill is on one screen, by its boxes.

Her page is reached from an alert's page and from the search; taps and turns of the screen are counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from browsers import Phones, judged, needs_browser
from herd_of_three import RAISED, herd, rules_that_ship
from page_farm import KEY, InMemory, settings

from sentinel.edges.web import WebServer, make_app, sign_entry
from sentinel.flow.views.parts.snapshot import Snapshot

pytestmark = [needs_browser, pytest.mark.timeout(120)]

HAND = {"width": 390, "height": 844}
TWICE = {"width": 195, "height": 422}
"""The same phone at 200 %."""

DECIDE = (".quarters", ".cells", ".yield", ".weeks g.milk", ".weeks g.visits", ".weeks g.alerts")
"""What must be seen without a turn of the screen."""

BOXES = """(names) => names.map((name) => {
  const found = document.querySelector(name).getBoundingClientRect();
  return [name, found.top + scrollY, found.bottom + scrollY, found.left, found.right];
})"""


class Ill(InMemory):
    """A farm with these cows and the rules that ship."""

    def snapshot(self) -> Snapshot:
        """The same with the rules that ship."""
        return replace(super().snapshot(), rules=rules_that_ship())


@pytest.fixture(scope="module", params=["en", "de"])
def base(request: pytest.FixtureRequest) -> Iterator[str]:
    """Where the farm's page is served, in each language."""
    farm = Ill(alerts={17: RAISED}, tables=herd(), plan=settings(f"language: {request.param}\n"))
    page = WebServer(make_app(farm, KEY, lambda: farm.now), "127.0.0.1", 0)
    page.start()
    yield f"http://127.0.0.1:{page.port}"
    page.stop()


def inside(base: str, phones: Phones, size: dict[str, int] = HAND) -> Any:
    """A phone that has come in by Marit's own link."""
    return phones.phone(sign_entry(base, KEY, 1, "Marit"), viewport=size, is_mobile=True)


def out_of_sight(tab: Any) -> list[str]:
    """What is wanted for deciding and does not lie between the top of the screen and the menu, or is cut at a side."""
    menu = tab.evaluate("document.querySelector('.tabs').getBoundingClientRect().top")
    wide_px = tab.evaluate("innerWidth")
    found = tab.evaluate(BOXES, list(DECIDE))
    return [name for name, top, bottom, left, right in found if top < 0 or bottom > menu or left < 0 or right > wide_px]


def test_from_an_alert_a_tap_shows_whether_she_is_ill(base: str, phones: Phones) -> None:
    """One tap and no turn of the screen, whatever her withheld milk and a standing alert need of room."""
    tab = inside(base, phones)
    tab.goto(f"{base}/alert/17")
    taps = 0
    tab.tap("main a[href='/cow/217']")
    taps += 1
    tab.wait_for_url("**/cow/217")

    assert (taps, tab.evaluate("scrollY"), out_of_sight(tab)) == (1, 0, [])
    assert "ill" in (tab.get_attribute("a.quarter[href$='/RR']", "class") or "")
    assert tab.locator("a.quarter.ill").count() == 1


def test_from_the_search_three_taps_and_her_number_do(base: str, phones: Phones) -> None:
    """The menu, the field, and the keyboard's own key; the only cow of that number is shown at once."""
    tab = inside(base, phones)
    taps = 0
    for what in (".tabs a[href='/find']", "input[name='q']"):
        tab.tap(what)
        taps += 1
    tab.fill("input[name='q']", "218")
    tab.press("input[name='q']", "Enter")
    taps += 1
    tab.wait_for_url("**/cow/218")

    assert (taps, tab.evaluate("scrollY"), out_of_sight(tab)) == (3, 0, [])
    assert tab.locator("a.quarter.ill").count() == 0


def test_the_quarters_lie_as_the_udder_does(base: str, phones: Phones) -> None:
    """Front above rear, left beside right, each one tap from its own page."""
    tab = inside(base, phones)
    tab.goto(f"{base}/cow/217")
    at = {
        name: (top, left)
        for name, top, _, left, _ in tab.evaluate(BOXES, [f"a.quarter[href$='/{q}']" for q in ("LF", "RF", "LR", "RR")])
    }
    lf, rf, lr, rr = at.values()

    assert lf[0] == rf[0] < lr[0] == rr[0]
    assert lf[1] == lr[1] < rf[1] == rr[1]
    tab.tap("a.quarter[href$='/RR']")
    tab.wait_for_url("**/cow/217/RR")


def test_the_visits_lie_above_the_alerts_on_one_axis(base: str, phones: Phones) -> None:
    """The lanes stand under one another and reach equally far to the right."""
    tab = inside(base, phones)
    tab.goto(f"{base}/cow/217")
    (_, milk, *_), (_, visits, *_), (_, alerts, *_) = tab.evaluate(
        BOXES, [".weeks g.milk", ".weeks g.visits", ".weeks g.alerts"]
    )

    assert milk < visits < alerts
    assert tab.locator(".weeks svg").count() == 1


def test_everything_can_be_tapped_and_read_at_twice_the_size_too(base: str, phones: Phones) -> None:
    """By day and by night, also of a cow of whom little is told; at 200 % tables may be moved sideways, the page never.

    A tap's 48 px are the screen's own: at 200 % they are 24 of the page's.
    """
    found = {}
    for size, but in ((HAND, ()), (TWICE, ("small: ", "cut: "))):
        tab = inside(base, phones, size)
        for cow in ("217", "218", "219"):
            tab.goto(f"{base}/cow/{cow}")
            faults = [fault for fault in judged(tab) if not fault.partition(": ")[2].startswith(but)]
            found[cow, size["width"]] = faults

    assert {name: faults for name, faults in found.items() if faults} == {}
