"""What a person does with the page most often, each done by a thumb on a phone of 390 by 844: taps and scrolls counted.

    PYTHONPATH=tests python -m whole.page.flows [--farm DIR]

prints the table. DIR is a folder that `sentinel demo --keep DIR` left; without it the demo is played first. Each flow
is done as it is, with every request held up for a while, and without signal.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from browsers import KEPT, Phones, chromium_running, until
from whole.demo.demo_page import OpenFarm, at_work
from whole.demo.played_demo import Thumb
from whole.page.round_farm import RoundFarm, Slow, farm_with_round

from sentinel.demo.farm import MARIT
from sentinel.edges.settings import page_key
from sentinel.edges.store.alerts import alerts_of_rule, save_alerts
from sentinel.edges.web import WebServer, make_app, sign_link
from sentinel.flow.model import Alert
from sentinel.runtime.farm_reader import FarmReader

HAND = {"width": 390, "height": 844}
HELD_UP_S = 1.5
"""How long each request waits under load."""

CONDITIONS = ("as it is", "under load", "without signal")


@dataclass(frozen=True, slots=True)
class Opened:
    """A farm at work whose page can be held up, and phones for it."""

    farm: OpenFarm
    slow: Slow
    phones: Phones

    def notice_link(self, alert: Alert) -> str:
        """The link of a notice about an alert."""
        return sign_link(self.farm.base, page_key(self.farm.folder), alert.id, MARIT, self.farm.clock.now())

    def standing(self, rule: str) -> Alert:
        """The week's first alert of a rule as it was before anybody answered."""
        first = min(alerts_of_rule(self.farm.store, rule), key=lambda alert: alert.id)
        fresh = {"answered_at": None, "answered_by": "", "finding": "", "note": "", "over_at": None, "over_why": None}
        alert = replace(first, **fresh, covered_by=(), lies_with="", lies_from=None)
        save_alerts(self.farm.store, [alert])
        return alert


@contextmanager
def held_up(farm: OpenFarm, phones: Phones) -> Iterator[Opened]:
    """The page of a farm at work once more, at a port of its own, with every request held up as long as one likes."""
    slow = Slow(make_app(FarmReader(farm.service, farm.clock), page_key(farm.folder), farm.clock.now))
    page = WebServer(slow, "127.0.0.1", 0)
    page.start()
    try:
        yield Opened(replace(farm, base=f"http://127.0.0.1:{page.port}"), slow, phones)
    finally:
        slow.delay_s = 0.0
        page.stop()


def begin(tab: Any, slow: Slow, condition: str, *wanted: str) -> None:
    """Let a phone have what it keeps of the page, then hold it up or take its signal away."""
    if condition == "without signal":
        for path in wanted:
            until(tab, f"({KEPT}).then((paths) => paths.includes('{path}'))")
        tab.context.set_offline(True)
    slow.delay_s = HELD_UP_S if condition == "under load" else 0.0


def signal_again(tab: Any, condition: str) -> None:
    """There is signal, and what the phone kept is with the farm."""
    if condition == "without signal":
        tab.context.set_offline(False)
        until(tab, "sentinel.shelf.all().then((waiting) => waiting.length === 0)")


# --- the flows ---------------------------------------------------------------------------------------------


def answer(opened: Opened, rule: str, condition: str) -> Thumb:
    """From the notice on the lock screen to the answer that the farm has."""
    alert, since = opened.standing(rule), opened.farm.told()
    finding = opened.farm.service.yard.setup.rules[rule].findings[0]
    tab = opened.phones.phone(opened.farm.own_link(), viewport=HAND)
    begin(tab, opened.slow, condition, f"/alert/{alert.id}")
    thumb = Thumb(tab)
    thumb.follow(opened.notice_link(alert))
    thumb.touch(f"button[value='{finding}']")
    tab.wait_for_selector("#kept:has-text('waiting')" if condition == "without signal" else ".said[role=status]")
    signal_again(tab, condition)
    said = [one for one in opened.farm.said(since) if one.alert == alert.id]
    assert [(one.kind, one.person, one.body["finding"]) for one in said] == [("answer", MARIT, finding)]
    return thumb


def answer_a_box(opened: Opened, condition: str) -> Thumb:
    """An arm out of line."""
    return answer(opened, "box-failures", condition)


def answer_a_quarter(opened: Opened, condition: str) -> Thumb:
    """Clots in her milk."""
    return answer(opened, "quarter-conductivity", condition)


def decide_on_a_cow(opened: Opened, condition: str) -> Thumb:
    """From the notice about her quarter to her own page: quarters, cells, milk, visits and alerts in one sight."""
    alert = opened.standing("quarter-conductivity")
    cow = f"/cow/{alert.subject.partition(':')[2].partition('/')[0]}"
    tab = opened.phones.phone(opened.farm.own_link(), viewport=HAND)
    begin(tab, opened.slow, condition, f"/alert/{alert.id}", cow)
    thumb = Thumb(tab)
    thumb.follow(opened.notice_link(alert))
    thumb.touch(f"main a[href='{cow}']")
    tab.wait_for_url(f"**{cow}")
    tab.wait_for_selector(".quarter.ill")
    scroll_to_see(thumb, ".quarters", ".cells", ".yield", ".weeks g.milk", ".weeks g.visits", ".weeks g.alerts")
    return thumb


def see_the_herd(opened: Opened, condition: str) -> Thumb:
    """From the first page to how the herd is doing, every figure with what is usual."""
    tab = opened.phones.phone(opened.farm.own_link(), viewport=HAND)
    begin(tab, opened.slow, condition, "/herd")
    thumb = Thumb(tab)
    thumb.touch("main a[href='/herd']")
    tab.wait_for_url("**/herd")
    scroll_to_see(thumb, "main a.row[href='#weeks']", "main a.row[href='#cells']", "main a.row[href='#standing']")
    return thumb


def tick_three_boxes(farm: RoundFarm, condition: str) -> Thumb:
    """From the list that is open, every chore at three boxes."""
    tab = farm.on_round(viewport=HAND)
    begin(tab, farm.slow, condition, "/round")
    thumb = Thumb(tab)
    for box in "123":
        thumb.touch(f"h3:has-text('Box {box}') + form.all button")
    until(tab, "document.querySelectorAll('li.done[data-chore]').length === 12")
    signal_again(tab, condition)
    until(tab, "document.querySelectorAll('li.done[data-chore]:not(.waiting)').length === 12")
    assert len(farm.records()) == len(farm.logged("chore")) == 12
    return thumb


def undo(farm: RoundFarm, condition: str) -> Thumb:
    """A chore that was ticked by mistake is taken back; the tap that ticked it is counted, too."""
    tab = farm.on_round(viewport=HAND)
    begin(tab, farm.slow, condition, "/round")
    thumb, row = Thumb(tab), "li[data-chore='wash'][data-place='1']"
    thumb.touch(f"{row} .tick button:visible")
    tab.wait_for_selector(f"{row}.done button:visible:has-text('Undo')")
    tab.wait_for_timeout(1000)  # a second tap in the same moment would be the same tap
    thumb.touch(f"{row} button:visible:has-text('Undo')")
    tab.wait_for_selector(f"{row}.open")
    signal_again(tab, condition)
    tab.wait_for_selector(f"{row}.open:not(.waiting)")
    assert farm.records() == []
    return thumb


def scroll_to_see(thumb: Thumb, *what: str) -> None:
    """Scroll until all of it has been in sight; what is seen at the first look costs nothing."""
    for one in what:
        thumb.see(one)


ON_THE_DEMO: dict[str, Callable[[Opened, str], Thumb]] = {
    "answer a box": answer_a_box,
    "answer a quarter": answer_a_quarter,
    "decide on a cow": decide_on_a_cow,
    "see the herd": see_the_herd,
}
ON_THE_ROUND: dict[str, Callable[[RoundFarm, str], Thumb]] = {
    "tick three boxes": tick_three_boxes,
    "undo": undo,
}


def main(line: list[str]) -> None:
    """Play the demo if need be, do all flows, and print the table."""
    asked = argparse.ArgumentParser(prog="flows")
    asked.add_argument("--farm", type=Path)
    left = asked.parse_args(line).farm
    out = sys.stdout
    out.write("| flow | condition | taps | scrolls |\n| --- | --- | --- | --- |\n")
    with tempfile.TemporaryDirectory() as place, chromium_running() as browser:
        if left is None:
            left = Path(place) / "farm"
            command = [sys.executable, "-m", "sentinel", "demo", "--fast", "--keep", str(left)]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        for condition in CONDITIONS:
            for n, (name, flow) in enumerate(ON_THE_DEMO.items()):
                phones = Phones(browser)
                with at_work(left, Path(place) / f"{condition}-{n}") as farm, held_up(farm, phones) as opened:
                    thumb = flow(opened, condition)
                    phones.close()
                out.write(f"| {name} | {condition} | {thumb.taps} | {thumb.scrolls} |\n")
            for n, (name, on_round) in enumerate(ON_THE_ROUND.items()):
                with farm_with_round(browser, Path(place) / f"round-{condition}-{n}") as round_farm:
                    thumb = on_round(round_farm, condition)
                out.write(f"| {name} | {condition} | {thumb.taps} | {thumb.scrolls} |\n")


if __name__ == "__main__":
    main(sys.argv[1:])
