"""The page in a real browser at a phone's size: without signal, by its measure and contrast, and for who may enter.

On the demo's farm, and with everything there is to see, it is tried in `tests/whole/demo/test_demo.py`.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from threading import Event
from typing import Any

import pytest
from browsers import (
    KEPT,
    SCREENS,
    Phones,
    axe_complaints,
    judged,
    needs_browser,
    until,
)
from page_farm import AT, FACTS, KEY, THERE, InMemory, everything, settings
from PIL import Image
from screens import addresses

from sentinel.edges.clock import Clock
from sentinel.edges.photos import LONGEST_PX
from sentinel.edges.web import WebServer, make_app, sign_entry, sign_link
from sentinel.flow.model import Alert, Answer, Chore
from sentinel.flow.tables import Tables

pytestmark = [needs_browser, pytest.mark.timeout(120)]

PAGES = addresses("accessibility", **THERE).values()


class Served(Phones):
    """A farm in memory whose page is served, and phones that open it."""

    def __init__(self, browser: Any) -> None:
        super().__init__(browser)
        self.farm = InMemory()
        self.page = WebServer(make_app(self.farm, KEY, lambda: self.farm.now), "127.0.0.1", 0)
        self.page.start()
        self.base = f"http://127.0.0.1:{self.page.port}"

    def own_link(self) -> str:
        """Marit's own link."""
        return sign_entry(self.base, KEY, 1, "Marit")


@pytest.fixture
def served(chromium: Any) -> Iterator[Served]:
    """A farm whose page is served; nothing of it may be refused by its own policy or fail in its script."""
    found = Served(chromium)
    yield found
    found.close()
    found.page.stop()


def test_from_the_notice_an_answer_takes_two_taps(served: Served) -> None:
    """The link, and the finding; with script and without."""
    for script in (True, False):
        served.farm.submissions.clear()
        served.farm.alerts[17] = InMemory().alerts[17]
        finding = "optics dirty" if script else "arm out of line"
        link = sign_link(served.base, KEY, 17, "Marit", AT)
        tab = served.phone(link, java_script_enabled=script)
        tab.click(f"button[value='{finding}']")
        tab.wait_for_selector(f".said:has-text('Recorded: {finding}')")

        assert served.farm.submissions == [Answer(17, AT, "Marit", finding)]


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
    assert served.farm.submissions == []

    served.farm.now = AT + 3600  # the real clock of the browser is far ahead of this farm's, and taken as now
    tab.context.set_offline(False)
    tab.goto(f"{served.base}/round")
    tab.wait_for_selector("#kept:has-text('Recorded: optics dirty')")
    tab.reload()
    tab.wait_for_selector("#kept:has-text('Recorded: optics dirty')")
    assert served.farm.submissions == [Answer(17, AT + 3600, "Marit", "optics dirty")]
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
    tab.wait_for_selector("#kept:has-text('Onno had already answered at')")

    [submission] = served.farm.submissions
    assert (submission.person, submission.finding) == ("Marit", "optics dirty")
    assert submission.at < served.farm.now - 300


def test_a_withdrawn_link_shows_nothing_and_leaves_nothing_on_the_phone(served: Served) -> None:
    """The next look says who are you, and what the phone had kept of the page is gone."""
    tab = served.phone(served.own_link())
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round'))")
    del served.farm.own[1]
    tab.goto(f"{served.base}/")

    assert "Who are you?" in tab.inner_text("main")
    until(tab, f"({KEPT}).then((paths) => paths.length === 0)")


def test_a_page_that_was_on_its_way_does_not_stay_after_a_link_was_withdrawn(served: Served) -> None:
    """It was asked for to be kept while the link held, and came after the phone had forgotten all."""
    asked, go_on = Event(), Event()
    seen = served.farm.alert

    def slow(alert: int) -> Alert | None:
        asked.set()
        go_on.wait(10)
        return seen(alert)

    served.farm.alert = slow  # type: ignore[method-assign]
    tab = served.phone(served.own_link())
    assert asked.wait(15)
    del served.farm.own[1]
    tab.goto(f"{served.base}/")
    assert "Who are you?" in tab.inner_text("main")
    go_on.set()
    tab.wait_for_timeout(1000)

    assert tab.evaluate(KEPT) == []


def test_a_reply_that_was_lost_is_told_when_it_is_asked_for_again(served: Served) -> None:
    """The farm took it, but the signal went before the phone heard so: nothing is done twice, and the words come."""
    tab = served.phone(served.own_link(), service_workers="block")
    lost = []

    def lose(route: Any) -> None:
        if not lost:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    tab.context.route("**/kept", lose)
    tab.goto(f"{served.base}/alert/17")
    tab.context.set_offline(True)
    tab.tap("button[value='optics dirty']")
    tab.wait_for_selector("#kept:has-text('waiting on this phone')")
    tab.context.set_offline(False)
    tab.wait_for_selector("#kept:has-text('Recorded: optics dirty')")

    assert lost == [200]
    assert [submission.finding for submission in served.farm.submissions] == ["optics dirty"]


def photo(width: int, height: int) -> dict[str, Any]:
    """A photo as a phone's camera gives it to a form."""
    out = io.BytesIO()
    Image.new("RGB", (width, height), (120, 30, 30)).save(out, "JPEG")
    return {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


WAITING_PX = """new Promise((done) => {
  const shelf = indexedDB.open("sentinel");
  shelf.onsuccess = () => {
    const asked = shelf.result.transaction("waiting").objectStore("waiting").getAll();
    asked.onsuccess = () => Promise.all(asked.result.map((one) => createImageBitmap(new Blob([one.photo]))))
      .then((found) => done(found.map((one) => [one.width, one.height])));
  };
})"""
"""How large the photos are that wait on a phone."""


def add_photo(tab: Any, file: dict[str, Any]) -> None:
    """As a thumb does it: open the form if it is closed, choose, send."""
    if not tab.is_visible("#photo"):
        tab.tap("summary:has-text('Add a photo')")
    tab.set_input_files("#photo", file)
    tab.tap("button:has-text('Add the photo')")


def test_a_photo_taken_without_signal_is_kept_and_sent_once(served: Served) -> None:
    """Smaller, over a reload, with the time it was taken, also if the reply to it is lost; and then it is shown."""
    tab = served.phone(served.own_link())
    until(tab, f"({KEPT}).then((paths) => paths.includes('/alert/17'))")
    tab.context.clock.set_fixed_time(AT + 600)
    tab.context.set_offline(True)
    tab.goto(f"{served.base}/alert/17")
    add_photo(tab, photo(3200, 2000))
    tab.wait_for_selector("#kept:has-text('A photo: waiting on this phone')")
    tab.reload()
    tab.wait_for_selector("#kept:has-text('A photo: waiting on this phone')")
    assert served.farm.photos == {}
    assert tab.evaluate(WAITING_PX) == [[LONGEST_PX, LONGEST_PX * 5 // 8]]

    served.farm.now = AT + 3600
    tab.context.set_offline(False)
    tab.reload()
    tab.wait_for_selector("#kept:has-text('The photo is with its alert')")
    tab.reload()

    [(name, content)] = served.farm.photos.items()
    [entry] = served.farm.entries
    assert (entry.at, entry.body) == (AT + 3600, {"file": name, "taken_at": AT + 600})
    assert Image.open(io.BytesIO(content)).size == (LONGEST_PX, LONGEST_PX * 5 // 8)
    assert tab.get_attribute(".photo img", "alt") == "Photo by Marit, 08:10"


def test_no_more_photos_are_kept_than_there_is_room_for(served: Served) -> None:
    """The eleventh is not lost in silence, nor is what is no picture."""
    tab = served.phone(served.own_link())
    until(tab, f"({KEPT}).then((paths) => paths.includes('/alert/17'))")
    tab.context.set_offline(True)
    tab.goto(f"{served.base}/alert/17")
    for n in range(10):
        add_photo(tab, photo(40, 30 + n))
        until(tab, f"document.querySelectorAll('#kept p').length === {n + 1}")
    add_photo(tab, photo(40, 20))
    tab.wait_for_selector(".said:has-text('This phone keeps ten photos until there is signal.')")
    assert tab.locator("#kept p").count() == 10

    tab.context.set_offline(False)
    tab.goto(f"{served.base}/alert/17")
    until(tab, "document.querySelector('#kept').textContent.split('The photo is with its alert').length === 11")
    assert len(served.farm.photos) == 10
    tab.context.set_offline(True)
    tab.goto(f"{served.base}/alert/17")
    add_photo(tab, {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": b"not a picture"})
    tab.wait_for_selector(".said:has-text('It could not be kept on this phone.')")


GRAZING = """\
grazing:
  - {name: east, from: "09:00", to: "17:00", move_wire_before: "08:30"}
"""


def test_a_chore_is_ticked_from_the_page(served: Served) -> None:
    """One tap where it is listed."""
    served.farm.plan = settings(GRAZING)
    served.farm.tables = Tables(farm=replace(FACTS, chores=served.farm.plan.chores))
    tab = served.phone(served.own_link())
    tab.goto(f"{served.base}/round")
    tab.tap("button[value='wire']")
    tab.wait_for_selector("li.done:not(.waiting):has(button:has-text('Undo'))")

    assert served.farm.submissions == [Chore("wire", "east", AT, "Marit")]


@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: str(screen["width"]))
def test_everything_can_be_tapped_and_read(served: Served, screen: dict[str, int]) -> None:
    """Targets of 48 px, text of 7 to 1, nothing cut or wider than the screen; by day and by night."""
    served.farm.tables = everything()
    tab = served.phone(served.own_link(), viewport=screen)
    found = {}
    for path in PAGES:
        tab.goto(f"{served.base}{path}")
        found[path] = judged(tab)

    assert {path: faults for path, faults in found.items() if faults} == {}


def test_axe_finds_nothing_to_complain_of(served: Served) -> None:
    """axe-core with all its rules for WCAG 2.2 A to AAA and good practice, on every page."""
    served.farm.tables = everything()
    tab = served.phone(served.own_link())
    found = {}
    for path in PAGES:
        tab.goto(f"{served.base}{path}")
        found[path] = axe_complaints(tab)

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
    tab.wait_for_selector(".said:has-text('Recorded: optics dirty')")

    assert served.farm.submissions == [Answer(17, AT, "Marit", "optics dirty")]
