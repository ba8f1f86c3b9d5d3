"""The demo: it tells the whole story by itself, from exports to phones and back, and leaves a farm to explore."""

from __future__ import annotations

import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from browsers import KEPT, SCREENS, Phones, axe_complaints, judged, needs_browser, pictured, until
from rich.console import Console
from screens import addresses
from whole.demo.demo_page import OpenFarm, at_work
from whole.demo.played_demo import Thumb, Told, played, sentinel
from whole.demo.walk_through import FARM, plain, walk
from whole.planted_subjects import is_about

from sentinel.demo.afterwards import keep_open, read_messages
from sentinel.demo.farm import MARIT
from sentinel.demo.people import BLOCKS
from sentinel.demo.play import Played, wait_until
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_of_rule, all_alerts, save_alerts, standing_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import notice_with
from sentinel.runtime.farm_folder import Farmyard, load_setup


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """The demo, played once as fast as it goes."""
    return played(tmp_path_factory)


pytestmark = pytest.mark.timeout(620)


def test_it_ends_well_and_without_a_word_of_complaint(told: Told) -> None:
    """No warning, no traceback, exit 0."""
    assert told.result.stderr == ""
    assert told.result.returncode == 0


def test_the_box_alert_reaches_the_phone_with_its_reason(told: Told) -> None:
    """The notice names the trouble, the count, since when, and what to look at first; the box is stopped first."""
    said = r"Box 2: arm out of line\? (Box 2: (\d+) of the last \d+ failed.*?)"
    found = re.search(rf"Wed 1\d:\d\d Marit {said} answer: (http://\S+)", told.words)

    assert found
    assert int(found[2]) >= 6
    assert "usual for these cows; teats seen" in found[1]
    assert re.search(r"Since 1\d:\d\d\.", found[1])
    assert "Look first: - Put the box out of operation first" in found[1]
    assert found[3].startswith("http://127.0.0.1:")


def test_what_rings_is_answered_by_link_or_by_command(told: Told) -> None:
    """The box through the notice's link, the quarter at night that she will look, then from the farm's computer."""
    store = Store(told.farm / STORE_NAME)
    answers = [
        (one.entry.rule, one.entry.person, one.entry.body["finding"]) for one in log_entries(store, kind="answer")
    ]
    store.close()

    assert answers == [
        ("feed-quiet", "Marit", "export stopped"),
        ("box-failures", "Marit", "arm out of line"),
        ("arm-offset", "Marit", "arm out of line"),  # the same trouble: her one answer is for both
        ("quarter-conductivity", "Marit", ""),
        ("quarter-conductivity", "Marit", "clots or flakes"),
        ("late-cow", "Marit", "brought up"),
    ]
    assert "opens the link and taps “arm out of line”" in told.words
    assert re.search(r'Marit: sentinel answer \d+ --finding "clots or flakes"', told.words)


def test_the_stories_end_in_the_log(told: Told) -> None:
    """The box and the filter are raised, told or done, and over; the forgotten filter by recording it."""
    store = Store(told.farm / STORE_NAME)
    box, filters = (
        [e.kind for e in (one.entry for one in log_entries(store, rule=rule)) if e.kind in ("raised", "answer", "over")]
        for rule in ("box-failures", "filter-overdue")
    )
    done = [one.entry.subject for one in log_entries(store, kind="chore", subject="chore:filter")]
    store.close()

    assert (box[:2], box[-1], box.count("raised")) == (["raised", "answer"], "over", 1)
    assert filters == ["raised", "over"]
    assert done == ["chore:filter/1"]
    for part in ("The story of alert", "arm out of line; The arm rests off to one side."):
        assert part in told.words


def test_what_could_not_be_read_is_shown_with_its_place(told: Told) -> None:
    """The broken rows, the cut workbook and the corrected row."""
    for part in ("milkings_20260507_0900.csv 39", "boxlog_2026-05-09_1400.xlsx whole", "milk_kg 86 → 8.6"):
        assert part in told.words


def test_every_planted_thing_was_raised_and_the_late_export_made_no_cow_late(told: Told) -> None:
    """What truth.json expects of the rules in use is among the alerts; while the export stopped, no cow was late."""
    truth = json.loads((Path(__file__).parents[3] / "demo_feeds" / "truth.json").read_text(encoding="utf-8"))
    store = Store(told.farm / STORE_NAME)
    raised = {(alert.rule, alert.subject) for alert in all_alerts(store)}
    stopped = next(a for a in alerts_of_rule(store, "feed-quiet") if a.subject == "feed:milkings")
    late = [a for a in alerts_of_rule(store, "late-cow") if stopped.raised_at <= a.raised_at <= stopped.over_at]
    store.close()
    planted = [item for item in truth["items"] if item["figures"].get("how") != "by itself"]

    for item in planted:
        if item["rules"]:
            told_of = [rule for rule, subject in raised if is_about(subject, item["subject"])]
            assert set(told_of) & set(item["rules"]), item
    assert late == []


def test_every_wire_is_moved_on_the_round_of_its_turn(told: Told) -> None:
    """Chores that no export records are recorded by the played operator, so none of them is ever overdue."""
    store = Store(told.farm / STORE_NAME)
    moved = log_entries(store, kind="chore", subject="chore:wire")
    overdue = alerts_of_rule(store, "chore-due")
    store.close()

    assert len(moved) == 7 * sum(map(len, BLOCKS.values()))
    assert overdue == []


def test_the_rounds_say_which_wire_is_due_and_which_cows_are_still_out(told: Told) -> None:
    """By the grazing plan: two wires in the evening, the third in the morning; the cows with their hours, on both."""
    lists = [one for one in read_messages(told.farm) if re.match(r"\d\d:\d\d round", one.title)]
    wires = {one.title[:5]: re.findall(r"Move the wire (\w+) by", one.body) for one in lists[1:]}
    out = [re.search(r"Not seen at a box since grazing ended.*: \d+ \(\d+,?\d* h\)", one.body) for one in lists]

    assert len(lists) == 14
    assert wires == {"06:30": ["west"], "16:30": ["east", "north"]}
    assert all(out)


def test_one_trouble_rings_once(told: Told) -> None:
    """Four troubles in a week, seven notices besides the worklists: who was told hears who has it, and its end."""
    kinds = [(one.to, one.title.partition(":")[0]) for one in read_messages(told.farm) if " round" not in one.title]

    assert kinds == [
        (MARIT, "Feed milkings"),
        (MARIT, "Box 2"),
        ("Joren", "Box 2"),
        ("Joren", "Marit has it"),
        ("Joren", "Over"),
        (MARIT, "Cow 400, right rear"),
        (MARIT, "Cow 216 not milked for 18 h 18 min"),
    ]


def test_every_notice_reached_the_phone_once(told: Told) -> None:
    """Nothing is left in the outbox, and nothing was sent twice."""
    store = Store(told.farm / STORE_NAME)
    outcomes = [tuple(row) for row in fetch(store, "select outcome, attempts from deliveries")]
    store.close()

    assert set(outcomes) == {("delivered", 1)}
    assert f"{len(outcomes)} notices reached the phones" in told.words


def test_it_says_what_to_do_next(told: Told) -> None:
    """With the farm it left, and with one's own exports."""
    assert "The log is whole" in told.words
    for command in ("init", "map", "check", "once", "run"):
        assert f"sentinel {command} " in told.words
    assert f"sentinel alerts {told.farm}" in told.words


def test_the_commands_it_names_work_on_the_farm_it_leaves(told: Told) -> None:
    """Each is run as it was printed; a second demo does not overwrite the folder."""
    printed = [line.strip() for line in told.result.stdout.splitlines() if str(told.farm) in line]
    commands = [line for line in printed if line.startswith("sentinel ")]
    found = {shlex.split(line)[1]: sentinel(*shlex.split(line)[1:]) for line in commands}

    assert {name: (result.returncode, result.stderr) for name, result in found.items()} == dict.fromkeys(
        ("alerts", "history", "replay", "verify", "people"), (0, "")
    )
    assert "/enter/" in found["people"].stdout
    assert "Cow 400" in found["alerts"].stdout
    assert "arm out of line" in found["history"].stdout
    assert "before" in found["replay"].stdout
    again = sentinel("demo", "--fast", "--keep", told.farm)
    assert (again.returncode, "is not empty" in again.stderr) == (2, True)


def test_the_page_of_the_farm_it_leaves_opens_by_the_link_that_is_printed(told: Told, tmp_path: Path) -> None:
    """At the moment to which the week came, until it is ended."""
    farm = shutil.copytree(told.farm, tmp_path / "farm")
    setup, secrets, problems = load_setup(farm, {})
    assert setup is not None, problems
    store, ended, said = Store(farm / STORE_NAME), threading.Event(), io.StringIO()
    played = Played(Farmyard(farm, setup, secrets, store), (last_tick(store) or 0) + 5, 0, ())
    console = Console(file=said, width=300)
    kept = threading.Thread(target=keep_open, args=(console, played, ended))
    kept.start()
    try:
        assert wait_until(lambda: "Ctrl-C" in said.getvalue(), 30)
        [link] = re.findall(r"http://\S+/enter/\S+", said.getvalue())
        browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with browser.open(link, timeout=10) as page:
            shown = page.read().decode()
    finally:
        ended.set()
        kept.join(30)
        store.close()

    assert page.url.endswith("/")
    assert "Cow 400" in shown


# --- its page on a phone, in a real browser ---------------------------------------------------------------

PAGES = {
    **addresses("screenshots", alert="12", cow="400", quarter="RR", box="2", tank="1", rule="late-cow"),
    "alert-of-a-box": "/alert/5",
    "found": "/find?q=2",
}


@pytest.fixture(scope="module")
def farm(told: Told, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenFarm]:
    """A copy of the farm that the demo left, at work again."""
    with at_work(told.farm, tmp_path_factory.mktemp("at-work") / "farm") as found:
        yield found


@needs_browser
@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: str(screen["width"]))
def test_every_page_of_it_can_be_tapped_and_read(farm: OpenFarm, phones: Phones, screen: dict[str, int]) -> None:
    """With a whole farm on them nothing is too small, faint, cut or wide, by day and by night; pictures are kept."""
    tab = phones.phone(farm.own_link(), viewport=screen)
    found = {}
    for name, path in PAGES.items():
        assert tab.goto(f"{farm.base}{path}").status == 200
        pictured(tab, name)
        found[name] = judged(tab)

    assert {name: faults for name, faults in found.items() if faults} == {}


@needs_browser
def test_in_german_everything_can_be_tapped_and_read_too(told: Told, phones: Phones, tmp_path: Path) -> None:
    """Its words are longer; on the narrowest screen they still fit."""
    found = {}
    with at_work(told.farm, tmp_path / "farm", "de") as farm:
        tab = phones.phone(farm.own_link())
        for name, path in PAGES.items():
            tab.goto(f"{farm.base}{path}")
            assert tab.get_attribute("html", "lang") == "de"
            found[name] = judged(tab)

    assert {name: faults for name, faults in found.items() if faults} == {}


@needs_browser
def test_axe_finds_nothing_to_complain_of_on_any_page_of_it(farm: OpenFarm, phones: Phones) -> None:
    """With every chart, table and list filled; by night only the colours differ, which are judged above."""
    tab = phones.phone(farm.own_link())
    found = {}
    for name, path in PAGES.items():
        tab.goto(f"{farm.base}{path}")
        found[name] = axe_complaints(tab, "light")

    assert {name: faults for name, faults in found.items() if faults} == {}


@needs_browser
def test_the_notice_that_reached_the_phone_is_answered_in_two_taps(farm: OpenFarm, phones: Phones) -> None:
    """The link in the last notice of what still stands, as if nobody had answered yet, and what she found."""
    standing = [one for one in standing_alerts(farm.store) if one.urgency == "now"]
    save_alerts(
        farm.store, [replace(alert, answered_at=None, answered_by="", finding="", note="") for alert in standing]
    )
    open_still = {alert.id for alert in standing}
    alerts = {one.notice: notice_with(farm.store, int(one.notice)).alerts for one in farm.messages}
    *_, notice = (
        one
        for one in farm.messages
        if one.to == MARIT and one.link and " round: " not in one.title and open_still & {*alerts[one.notice]}
    )
    since = farm.told()
    thumb = Thumb(phones.phone())
    thumb.follow(farm.link_in(notice))
    assert thumb.tab.inner_text("h1").startswith("Cow 400, right rear")
    thumb.tap("button[value='quarter hard or hot']")
    thumb.tab.wait_for_selector(".said:has-text('Recorded: quarter hard or hot')")

    [entry] = farm.said(since)
    assert ((entry.alert,), entry.kind, entry.person) == (alerts[notice.notice], "answer", MARIT)
    assert entry.body["finding"] == "quarter hard or hot"
    assert thumb.taps == 2


@needs_browser
def test_the_notice_of_the_rounds_list_opens_it_and_says_its_number(farm: OpenFarm, phones: Phones) -> None:
    """By one tap; the number of things to do is the one that the page said when it was sent."""
    *_, notice = (one for one in farm.messages if one.to == MARIT and " round: " in one.title)
    thumb = Thumb(phones.phone())
    thumb.follow(farm.link_in(notice))

    assert thumb.tab.inner_text("h1").startswith("Round of")
    assert thumb.taps == 1
    assert re.search(r"round: (\d+ things? to do|nothing waiting|cows still out)", notice.title)


@needs_browser
def test_a_chore_of_the_round_is_ticked_by_a_tap(farm: OpenFarm, phones: Phones) -> None:
    """The wire that is due by the grazing plan, where it is listed; it is shown as done."""
    since, at = farm.told(), farm.clock.now()
    thumb = Thumb(phones.phone(farm.own_link()))
    thumb.tap(".tabs a[href='/round']")
    thumb.tap("li[data-chore='wire'][data-place='west'] button:visible")
    thumb.tab.wait_for_selector("li.done:not(.waiting):has-text('wire west'):has(button:has-text('Undo'))")

    [entry] = farm.said(since)
    assert (entry.kind, entry.subject, entry.person, entry.body["done_at"]) == ("chore", "chore:wire/west", MARIT, at)
    thumb.tab.goto(f"{farm.base}/round")
    thumb.tab.wait_for_selector("li.done:has-text('wire west'):has-text('Marit')")


@needs_browser
def test_what_is_said_where_there_is_no_signal_is_taken_once_with_its_time(farm: OpenFarm, phones: Phones) -> None:
    """An answer and a chore wait on the phone, over a reload, while the farm goes on, and are sent when it is back."""
    thumb = Thumb(phones.phone(farm.own_link()))
    tab = thumb.tab
    [quarter] = standing_alerts(farm.store)
    save_alerts(farm.store, [replace(quarter, answered_at=None, answered_by="", finding="", note="")])
    tab.reload()
    until(tab, f"({KEPT}).then((paths) => paths.includes('/round') && paths.includes('/alert/{quarter.id}'))")
    since, made = farm.told(), farm.clock.now() + 600
    tab.context.clock.set_fixed_time(made)
    tab.context.set_offline(True)
    thumb.tap(".tabs a[href='/round']")
    tab.wait_for_selector(".old:has-text('No signal.')")
    thumb.tap("li[data-chore='filter'][data-place='1'] button:visible")
    tab.wait_for_selector("li.done.waiting:has-text('waiting to be sent')")
    thumb.tap(f"a[href='/alert/{quarter.id}']")
    thumb.tap("button[value='quarter hard or hot']")
    until(tab, "document.querySelectorAll('#kept p').length === 2")
    tab.reload()
    until(tab, "document.querySelectorAll('#kept p').length === 2")
    farm.move_to(made + 3000)
    assert farm.said(since) == []

    tab.context.set_offline(False)
    for _ in range(2):
        tab.goto(f"{farm.base}/round")
        tab.wait_for_selector("#kept:has-text('Recorded: quarter hard or hot.')")
        tab.wait_for_selector("li.done:not(.waiting)[data-chore='filter'][data-place='1']")
    said = {entry.kind: entry for entry in farm.said(since)}
    assert len(farm.said(since)) == 2
    assert (said["answer"].alert, said["answer"].body["finding"], said["answer"].person) == (
        quarter.id,
        "quarter hard or hot",
        MARIT,
    )
    assert (said["chore"].subject, said["chore"].person) == ("chore:filter/1", MARIT)
    assert [said[kind].at > made + 3000 for kind in ("answer", "chore")] == [True, True]
    assert (said["answer"].body["answered_at"], said["chore"].body["done_at"]) == (made, made)


@needs_browser
def test_a_link_that_was_withdrawn_opens_nothing_more(farm: OpenFarm, phones: Phones) -> None:
    """An own link by its number; then all that Marit was ever sent, for the phone that was lost."""
    link, notice = farm.own_link(), next(one for one in farm.messages if one.to == MARIT and one.link)
    tab = phones.phone(link)
    assert tab.goto(f"{farm.base}/").status == 200
    number = fetch(farm.store, "select max(id) from page_links")[0][0]
    assert sentinel("people", "withdraw", str(number), "--farm", farm.folder).returncode == 0

    assert tab.goto(f"{farm.base}/").status == 401
    assert "Who are you?" in tab.inner_text("main")
    until(tab, f"({KEPT}).then((paths) => paths.length === 0)")
    other = phones.phone()
    assert other.goto(link).status == 410
    assert other.goto(farm.link_in(notice)).status == 200
    assert sentinel("people", "withdraw", MARIT, "--farm", farm.folder).returncode == 0
    assert phones.phone().goto(farm.link_in(notice)).status == 410


# --- the walk-throughs, typed ----------------------------------------------------------------------------


def test_walk_throughs_work_as_typed(told: Told, tmp_path: Path) -> None:
    """Every command of the walk-throughs runs, in order, and prints the lines that the README shows under it."""
    (begin, shown), *steps = walk()
    here, farm = tmp_path / "walk.sh", shutil.copytree(told.farm, tmp_path / "demo-farm")
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    environment = {**os.environ, "PATH": path, "PYTHONIOENCODING": "utf-8"}

    def run(text: str) -> str:
        here.write_text(text.replace(FARM, str(farm)), encoding="utf-8")
        command = ["bash", "-euo", "pipefail", here]
        told = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, env=environment, check=False)
        assert told.returncode == 0, f"{text}\n{told.stdout}\n{told.stderr}"
        return plain(told.stdout + told.stderr)

    assert begin.splitlines()[0] == f"deploy/demo --keep {FARM}"
    said = plain(told.result.stdout)
    assert [line for line in shown if plain(line) not in said] == []
    inside = ""
    for text, lines in steps:
        said = run(inside + text)
        inside = f"cd {FARM}\n" if re.search(rf"^cd {FARM}$", text, re.M) else ""
        assert [line for line in lines if plain(line) not in said] == [], said
