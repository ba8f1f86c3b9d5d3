"""The first screen of an alert on a phone: what, where, since when, how bad, who is next, what to do, every answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from browsers import judged, needs_browser
from whole.demo.demo_page import OpenFarm, at_work
from whole.demo.played_demo import Thumb, played

from sentinel.demo.farm import MARIT
from sentinel.edges.settings import page_key
from sentinel.edges.store.alerts import alerts_of_rule, save_alerts
from sentinel.edges.web import sign_link
from sentinel.flow.model import Alert

pytestmark = [needs_browser, pytest.mark.timeout(620)]

PHONE = {"width": 390, "height": 844}
RULES = ("box-failures", "quarter-conductivity", "late-cow")
LANGUAGES = ("en", "de")

SEEN = """(what) => [...document.querySelectorAll(what)].map((one) => {
  const box = one.getBoundingClientRect(), bar = document.querySelector(".tabs").getBoundingClientRect();
  return [one.textContent.trim(), box.width > 0 && box.top >= 0 && box.bottom <= Math.min(innerHeight, bar.top)];
})"""
"""What is on the screen as it is, above the menu: of each thing its words, and whether it is seen whole."""

AT_A_GLANCE = (".glance h1", ".glance > p", ".glance .caution", ".glance .first li", ".answers button")
"""What is to be seen without a scroll."""


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The farm that the demo leaves."""
    return played(tmp_path_factory).farm


@pytest.fixture(scope="module", params=LANGUAGES)
def farm(left: Any, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenFarm]:
    """It, at work again, in English and in German."""
    with at_work(left, tmp_path_factory.mktemp("at-work") / "farm", request.param) as found:
        yield found


def standing(farm: OpenFarm, rule: str) -> Alert:
    """The week's first alert of a rule as it was before anybody answered."""
    first = min(alerts_of_rule(farm.store, rule), key=lambda alert: alert.id)
    fresh = {"answered_at": None, "answered_by": "", "finding": "", "note": "", "over_at": None, "over_why": None}
    alert = replace(first, **fresh, covered_by=(), lies_with="", lies_from=None)
    save_alerts(farm.store, [alert])
    return alert


def notice_link(farm: OpenFarm, alert: Alert) -> str:
    """The link of a notice about it."""
    return sign_link(farm.base, page_key(farm.folder), alert.id, MARIT, farm.clock.now())


@pytest.mark.parametrize("rule", RULES)
def test_the_first_screen_says_all_that_is_needed_and_has_every_answer(farm, phones, rule) -> None:
    """By the boxes of everything on it, at the size of a common phone; and it can be tapped and read."""
    alert = standing(farm, rule)
    tab = phones.phone(notice_link(farm, alert), viewport=PHONE)
    seen = {what: tab.evaluate(SEEN, what) for what in AT_A_GLANCE}

    assert all(seen[what] for what in AT_A_GLANCE), seen
    assert {what: [one for one, whole in found if not whole] for what, found in seen.items()} == {
        what: [] for what in AT_A_GLANCE
    }
    assert len(seen[".answers button"]) == len(farm.service.yard.setup.rules[rule].findings) + 1
    assert judged(tab) == []


@pytest.mark.parametrize("rule", ("box-failures", "quarter-conductivity"))
def test_an_opened_notice_is_answered_by_one_tap_without_a_scroll(farm, phones, rule) -> None:
    """The finding, where it is; the page has not moved."""
    alert, since = standing(farm, rule), farm.told()
    finding = farm.service.yard.setup.rules[rule].findings[0]
    thumb = Thumb(phones.phone(notice_link(farm, alert), viewport=PHONE))
    button = thumb.tab.locator(f"button[value='{finding}']")
    box = button.bounding_box()
    thumb.tab.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    thumb.tab.wait_for_selector(".said[role=status]")

    [entry] = [one for one in farm.said(since) if one.alert == alert.id]
    assert (entry.kind, entry.person, entry.body["finding"]) == ("answer", MARIT, finding)
    assert thumb.tab.evaluate("scrollY") == 0


@pytest.mark.parametrize("rule", RULES)
def test_from_an_alert_its_rule_is_one_tap_away(farm, phones, rule) -> None:
    """Which says past which figures it tells and is over, and what came of it, without a code of a program."""
    thumb = Thumb(phones.phone(notice_link(farm, standing(farm, rule)), viewport=PHONE))
    thumb.tap(f"a[href='/rules/{rule}']")
    thumb.tab.wait_for_selector(f"h1:has-text('{rule}')")

    assert thumb.taps == 1
    assert thumb.tab.locator(".facts dd, .bounds td").count() >= 6
    assert judged(thumb.tab) == []
