"""The round, ticked in a real browser on a real service: taps counted, undone, doubled, slow, and without signal."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browsers import KEPT, axe_complaints, judged, needs_browser, until
from whole.page.round_farm import ALL, RULES, RoundFarm, farm_with_round

pytestmark = [needs_browser, pytest.mark.timeout(180)]

STATES = """Object.fromEntries([...document.querySelectorAll("li[data-chore]")].map((li) =>
  [`${li.dataset.chore}/${li.dataset.place}`,
   li.dataset.state + (li.classList.contains("waiting") ? " waiting" : "")]))"""
"""Each chore's state on the page, and whether it waits to be sent."""

OPEN_NOW = f"Object.values({STATES}).filter((state) => state === 'open').length"
DONE_NOW = f"Object.values({STATES}).filter((state) => state === 'done').length"
AT_REST = f"Object.values({STATES}).every((state) => !state.includes('waiting'))"

PAGES = "caches.keys().then((names) => caches.open(names.find((name) => name.startsWith('pages'))))"
"""The pages that this phone keeps."""


@pytest.fixture
def farm(chromium: Any, tmp_path: Path) -> Iterator[RoundFarm]:
    """The farm with a round of thirteen chores."""
    with farm_with_round(chromium, tmp_path / "farm") as found:
        yield found


def row(chore: str, place: str) -> str:
    """A chore's row."""
    return f"li[data-chore='{chore}'][data-place='{place}']"


def button(chore: str, place: str) -> str:
    """The button that a chore's row shows."""
    return f"{row(chore, place)} .tick button:visible"


def rest(tab: Any) -> None:
    """Wait until nothing on the page waits to be sent."""
    until(tab, AT_REST)


def past_the_guard(tab: Any) -> None:
    """So long that another tap counts as another."""
    tab.wait_for_timeout(1000)


def test_three_boxes_are_ticked_with_three_taps(farm: RoundFarm) -> None:
    """One tap a box, no page loaded anew, at most four scrolls of a thumb on a phone of 390 by 844."""
    tab = farm.on_round(viewport={"width": 390, "height": 844})
    tab.evaluate("window.same = true")
    assert "13 things to do" in tab.inner_text("#so-many")
    assert tab.inner_text("#takes") == "Chores: about 70 min."
    taps = scrolls = 0
    for box in "123":
        everything = tab.locator(f"h3:has-text('Box {box}') + form.all button")
        while (place := everything.bounding_box())["y"] + place["height"] > 844 - 64:
            tab.mouse.wheel(0, 560)
            tab.wait_for_timeout(150)
            scrolls += 1
        everything.tap()
        taps += 1
    rest(tab)

    assert taps == 3
    assert scrolls <= 4
    assert tab.evaluate("window.same")
    assert farm.records() == sorted(ALL - {"wire/east"})
    assert tab.evaluate(STATES)["wire/east"] == "open"
    assert tab.inner_text("#so-many") == "1 thing to do."
    assert tab.inner_text("#takes") == "Chores: about 10 min."
    tab.reload()
    assert tab.evaluate(OPEN_NOW) == 1


PLACES = "[...document.querySelectorAll('.card, li.item, form.all, h2')].map((one) => one.offsetTop)"
"""Where everything on the round's page begins."""


def test_a_tick_moves_nothing_on_the_page(farm: RoundFarm) -> None:
    """Neither when it is made, nor when the farm has it, nor when it is undone: a thumb may be on its way elsewhere."""
    tab = farm.on_round(viewport={"width": 390, "height": 844})
    before = tab.evaluate(PLACES)
    farm.slow.delay_s = 1.0
    tab.locator("h3:has-text('Box 1') + form.all button").tap()
    until(tab, f"{DONE_NOW} + Object.values({STATES}).filter((state) => state === 'done waiting').length === 4")
    waiting = tab.evaluate(PLACES)
    farm.slow.delay_s = 0.0
    rest(tab)
    kept = tab.evaluate(PLACES)
    past_the_guard(tab)
    tab.tap(button("wash", "1"))
    rest(tab)

    shown = [n for n, place in enumerate(before) if place]  # the button of a box that is done is gone
    for after in (waiting, kept, tab.evaluate(PLACES)):
        moved_px = [abs(after[n] - before[n]) for n in shown if after[n]]
        assert len(moved_px) >= 15 and max(moved_px) <= 1


def test_a_row_has_one_button(farm: RoundFarm) -> None:
    """Done, then Undo in its place, then Not done after a reload."""
    tab = farm.on_round()
    assert tab.locator(".tick button:visible").count() == 13
    tab.tap(button("wash", "2"))
    assert tab.locator(".tick button:visible").count() == 13
    assert tab.locator(f"{button('wash', '2')}:has-text('Undo')").count() == 1
    rest(tab)
    past_the_guard(tab)  # and past the second in which it was kept
    tab.reload()
    tab.wait_for_selector(f"{button('wash', '2')}:has-text('Not done')")
    assert tab.locator(".tick button:visible").count() == 13


def test_thirteen_quick_taps_are_recorded_once_each(farm: RoundFarm) -> None:
    """As fast as a thumb goes, and each of them twice."""
    tab = farm.on_round()
    for one in tab.locator("form.tick button[name=chore]").all():
        one.dblclick(no_wait_after=True)
    rest(tab)

    assert tab.evaluate(DONE_NOW) == 13
    assert farm.records() == sorted(ALL)
    assert sorted(farm.logged("chore")) == sorted(ALL)
    assert farm.logged("chore-undone") == []


@pytest.mark.parametrize("delay_s", [1.5])
def test_under_load_no_row_stays_open_and_none_is_recorded_twice(farm: RoundFarm, delay_s: float) -> None:
    """Every request waits: a tick is shown at once as waiting, then as done; a reload in between changes nothing."""
    tab = farm.on_round()
    farm.slow.delay_s = delay_s
    for one in tab.locator("form.tick button[name=chore]").all():
        one.tap(no_wait_after=True)
    assert tab.evaluate(OPEN_NOW) == 0
    assert "done waiting" in tab.evaluate(STATES).values()
    tab.reload()
    until(tab, f"{OPEN_NOW} === 0")
    rest(tab)

    assert tab.evaluate(DONE_NOW) == 13
    assert farm.records() == sorted(ALL)
    assert sorted(farm.logged("chore")) == sorted(ALL)


def test_while_a_look_holds_the_store_ticks_wait_and_are_kept_once(farm: RoundFarm) -> None:
    """The store takes nothing for eight seconds, longer than a request waits; each is sent again and kept once."""
    tab = farm.on_round()
    held, free = threading.Event(), threading.Event()

    def hold() -> None:
        with farm.store.writing():
            held.set()
            free.wait(8)

    holder = threading.Thread(target=hold)
    holder.start()
    held.wait(5)
    for box in "12":
        tab.locator(f"h3:has-text('Box {box}') + form.all button").tap(no_wait_after=True)
    assert sum(state == "done waiting" for state in tab.evaluate(STATES).values()) == 8
    holder.join(20)
    rest(tab)

    assert farm.records() == sorted(one for one in ALL if one[-1] in "12")
    assert sorted(farm.logged("chore")) == farm.records()


def test_a_tick_is_undone_at_once(farm: RoundFarm) -> None:
    """In its own place; done again it is recorded under a number of its own. The log has all three."""
    tab = farm.on_round()
    tab.tap(button("wash", "2"))
    tab.wait_for_selector(f"{row('wash', '2')} .told:has-text('done')")
    past_the_guard(tab)
    assert tab.inner_text(button("wash", "2")).startswith("Undo")
    rest(tab)
    tab.tap(button("wash", "2"))
    assert tab.evaluate(STATES)["wash/2"].startswith("open")
    rest(tab)
    assert farm.records() == []
    past_the_guard(tab)
    tab.tap(button("wash", "2"))
    rest(tab)

    assert farm.records() == ["wash/2"]
    assert farm.logged("chore") == ["wash/2", "wash/2"]
    assert farm.logged("chore-undone") == ["wash/2"]
    tab.reload()
    assert tab.evaluate(STATES)["wash/2"] == "done"


def test_a_tick_undone_while_it_is_on_its_way_is_not_done(farm: RoundFarm) -> None:
    """Whatever the order in which the answers come: the last word counts."""
    tab = farm.on_round()
    farm.slow.delay_s = 2
    tab.tap(button("wash", "2"))
    past_the_guard(tab)
    tab.tap(button("wash", "2"))
    rest(tab)

    assert farm.records() == []
    assert tab.evaluate(STATES)["wash/2"] == "open"


@pytest.mark.parametrize("script", [True, False])
def test_a_done_chore_is_said_not_to_be_done_later(farm: RoundFarm, script: bool) -> None:
    """From its own row after a reload, by whoever sees it; without script as well."""
    tab = farm.on_round()
    tab.tap(button("arm", "3"))
    rest(tab)
    other = farm.on_round("Onno", java_script_enabled=script)
    assert "Marit" in other.inner_text(f"{row('arm', '3')} .told")
    other.tap(f"{row('arm', '3')} button:has-text('Not done')")
    other.wait_for_selector(f"{row('arm', '3')} button:visible:has-text('☐ Done')")
    if script:
        rest(other)

    assert farm.records() == []
    assert farm.logged("chore-undone") == ["arm/3"]
    other.reload()
    other.wait_for_selector(f"{row('arm', '3')} button:visible:has-text('☐ Done')")


def test_without_script_one_tap_ticks_a_box_and_one_a_chore(farm: RoundFarm) -> None:
    """The page is loaded anew and says what was recorded; no row that was ticked is open, whenever a look comes."""
    tab = farm.on_round(java_script_enabled=False)
    tab.tap("h3:has-text('Box 1') + form.all button")
    tab.wait_for_selector(".said:has-text('Recorded as done')")
    assert tab.locator(".card:has(h3:has-text('Box 1')) li.done").count() == 4
    tab.tap(f"{row('wire', 'east')} button")
    tab.wait_for_selector(".said:has-text('Recorded as done: wire east')")

    assert farm.records() == sorted(["wire/east", *(one for one in ALL if one[-1] == "1")])


def test_without_signal_ticks_keep_their_place_over_a_reload_and_are_sent_once(farm: RoundFarm) -> None:
    """Shown as done and waiting; once there is signal they are sent, and the page says done."""
    tab = farm.on_round()
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round'))")
    before = tab.evaluate("[...document.querySelectorAll('li.item')].map((li) => li.dataset.words)")
    tab.context.set_offline(True)
    tab.tap("h3:has-text('Box 2') + form.all button")
    tab.tap(button("wire", "east"))
    tab.wait_for_timeout(300)
    tab.reload()
    tab.wait_for_selector(f"{row('wire', 'east')}.waiting")

    assert tab.locator(".old").is_visible()
    assert tab.evaluate("[...document.querySelectorAll('li.item')].map((li) => li.dataset.words)") == before
    assert sum(state == "done waiting" for state in tab.evaluate(STATES).values()) == 5
    assert "waiting to be sent" in tab.inner_text(f"{row('wire', 'east')} .told")
    assert tab.inner_text("#so-many") == "8 things to do."
    past_the_guard(tab)
    tab.tap(button("wire", "east"))
    assert farm.records() == []
    tab.context.set_offline(False)
    rest(tab)
    assert farm.records() == sorted(one for one in ALL if one[-1] == "2")
    assert tab.evaluate(DONE_NOW) == 4


def test_what_was_sent_is_shown_as_done_without_signal_too(farm: RoundFarm) -> None:
    """The page that the phone had kept is older than the tick."""
    tab = farm.on_round()
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round'))")
    tab.tap(button("wash", "1"))
    rest(tab)
    tab.context.set_offline(True)
    tab.reload()
    until(tab, f"{STATES}['wash/1'] === 'done'")
    assert farm.records() == ["wash/1"]


def test_what_another_page_sent_is_done_on_a_round_made_before(farm: RoundFarm) -> None:
    """Who comes back to the round while a tick is on its way gets a page that the farm made without it."""
    tab = farm.on_round()
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round') && paths.includes('/find'))")
    tab.context.set_offline(True)
    tab.tap(button("wash", "1"))
    tab.wait_for_selector(f"{row('wash', '1')}.waiting")
    tab.goto(f"{farm.base}/find")
    tab.evaluate(f"(async () => window.before = await ({PAGES}).then((pages) => pages.match('/round')))()")
    tab.context.set_offline(False)
    until(tab, "sentinel.shelf.all().then((waiting) => waiting.length === 0)")
    assert farm.records() == ["wash/1"]
    tab.wait_for_timeout(500)  # the pages that are kept again once it is sent
    tab.context.set_offline(True)
    tab.evaluate(f"({PAGES}).then((pages) => pages.put('/round', window.before))")
    tab.goto(f"{farm.base}/round")

    until(tab, f"{STATES}['wash/1'] === 'done'")


def test_a_page_that_is_not_kept_says_so(farm: RoundFarm) -> None:
    """In a plain sentence, with a way to what is kept; no other page is shown in its place."""
    tab = farm.on_round()
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round'))")
    tab.context.set_offline(True)
    tab.goto(f"{farm.base}/box/2")

    assert "this page is not kept on this phone" in tab.inner_text("main")
    assert judged(tab) == []
    tab.tap("main a:has-text('Round')")
    tab.wait_for_selector("h1:has-text('Round of')")


def test_a_chores_alert_stands_on_its_boxs_card_and_is_ticked_there(chromium: Any, tmp_path: Path) -> None:
    """Also one that cannot wait; the tick ends it."""
    rules = RULES.replace("26 h", "24 h").replace("round", "now")
    with farm_with_round(chromium, tmp_path / "farm", rules) as farm:
        tab = farm.on_round()
        assert tab.locator(".card:has(h3:has-text('Box 1')) li.item.now").count() == 4
        tab.tap("h3:has-text('Box 1') + form.all button")
        rest(tab)
        farm.records()
        tab.reload()
        assert tab.locator(".card:has(h3:has-text('Box 1')) li.item.done").count() == 4
        assert sorted(one for one in farm.logged("over") if one[-1] == "1") == sorted(
            one for one in ALL if one[-1] == "1"
        )


def test_the_page_can_be_read_and_tapped_in_every_state(farm: RoundFarm) -> None:
    """Open, waiting, done and undone: large enough, dark enough, and nothing that axe complains of."""
    tab = farm.on_round()
    assert judged(tab) == []
    tab.context.set_offline(True)
    tab.tap("h3:has-text('Box 2') + form.all button")
    assert judged(tab) == []
    tab.context.set_offline(False)
    rest(tab)
    assert (judged(tab), axe_complaints(tab)) == ([], [])
    tab.reload()
    assert (judged(tab), axe_complaints(tab)) == ([], [])
