"""The pages that are looked at: what stands, the round, cows and boxes, the log, exports and rules."""

import csv
import io
import re
from dataclasses import replace

import pandas as pd
import pytest
from page_farm import ALERT, AT, FACTS, THERE, InMemory, as_person, everything, frame, settings, text_of
from screens import addresses

from sentinel.flow.model import Entry
from sentinel.flow.rules import Rule
from sentinel.flow.tables import VISITS, FeedFacts, Tables
from sentinel.flow.views.parts.snapshot import Snapshot

MIND = "Put the box out of operation first, as its manual says, before you step or reach in."
NASTY = "<script>alert(1)</script>"
MOST_BYTES = 100_000
"""Everything that a first look may load (our choice, no source)."""


def visits(*rows: tuple[str, int, str, str]) -> pd.DataFrame:
    """Visits as rows of cow, seconds before now, box, outcome."""
    told = ({"cow": cow, "start": AT - ago, "box": box, "outcome": how, "milk_kg": 11.5} for cow, ago, box, how in rows)
    return frame(VISITS, *told)


@pytest.fixture
def farm() -> InMemory:
    """A farm with a few visits and one standing alert."""
    seen = visits(("217", 3600, "1", "milked"), ("217", 40_000, "2", "failed"), ("21", 7200, "2", "milked"))
    return InMemory(tables=Tables(visits=seen, farm=FACTS))


def test_what_stands_is_listed_where_one_walks_with_its_link(farm):
    """One line: what, how bad, since when; until when each export is known."""
    page = as_person(farm).get("/").text

    assert f"Boxes 1 ⚠ {MIND} Box 2: 5 failed attachments ▲ cannot wait · since 07:50" in text_of(page)
    assert 'href="/alert/17"' in page
    assert "milkings 07:50" in text_of(page)


def test_an_alert_shows_all_that_is_to_be_minded_and_every_hint(farm):
    """What is to be minded stands above the hints; those that do not fit beside the answers are folded below them."""
    farm.alerts[17] = replace(ALERT, caution=("Box first", "Ask the vet"))
    said = text_of(as_person(farm).get("/alert/17").text)

    assert "⚠ Box first ⚠ Ask the vet Look first Put the box out of operation first Is the lens clean?" in said
    assert said.index("What did you find?") < said.index("1 more to look at One too many")


def test_the_cows_of_a_milk_recording_are_listed_behind_its_alert(farm):
    """By group, each leading to her page, which leads back; and who brings most of the cells."""
    cow = {"cow": "217", "state": "again", "cells_k_ml": 640.0, "previous": 90.0, "score": 5.7, "milk_kg": 31.5}
    row = {**cow, "share_pct": 12.4, "tested_at": AT - 86400, "said": "Cow 217: 640 k/ml (again)"}
    about = {"rule": "cow-cells", "subject": "recording:2026-03-01", "facts": {"listed": [row]}, "text": "Cell counts"}
    farm.alerts[17] = replace(ALERT, **about)
    known = as_person(farm)
    assert "Cell counts: 217 (again, 640)" in text_of(known.get("/round/print").text)
    page, hers = (known.get(path).text for path in ("/alert/17", "/cow/217"))
    line = "Cow Cells, thousand per ml Before kg % of the cells 217 640 90 31.5 12.4"

    assert f"High again (1) {line} Most of the tank's cells {line}" in text_of(page)
    assert 'href="/cow/217"' in page
    assert "Cow 217: 640 k/ml (again)" in text_of(hers) and 'href="/alert/17"' in hers


def test_an_alert_that_was_pushed_for_another_figure_says_both_wherever_it_is_listed(farm):
    """Now, Round, on paper and on its own page; what has come back within its bound no longer "cannot wait"."""
    course = "strong sign when raised, slight now"
    farm.alerts[17] = replace(ALERT, course=course, eased="6 points")
    known = as_person(farm)
    now, round_, paper, own = (text_of(known.get(path).text) for path in ("/", "/round", "/round/print", "/alert/17"))
    eased = "was urgent, has eased"

    assert f"failed attachments {eased} · since 07:50 · {course}" in now
    assert f"Still open ⚠ {MIND} Box 2: 5 failed attachments {eased} · since 07:50 · {course}" in round_
    assert f"5 failed attachments; {course}; {eased}" in paper
    assert f"{eased} · Since 07:50. Strong sign when raised, slight now." in own
    assert not any("cannot wait" in page for page in (now, round_, own))

    farm.alerts[17] = replace(farm.alerts[17], eased="")
    assert [text_of(known.get(path).text).count("▲ cannot wait") for path in ("/", "/round", "/alert/17")] == [1, 1, 1]
    farm.alerts[17] = replace(farm.alerts[17], over_at=AT - 60)
    over = text_of(known.get("/alert/17").text)
    assert "slight now" not in over and "cannot wait" not in over


def test_a_box_is_put_out_of_operation_first_wherever_work_at_one_is_listed(farm):
    """Once on each list, above the first such line; not on a list of cows alone."""
    farm.alerts[18] = replace(ALERT, id=18, subject="box:1")
    known = as_person(farm)

    assert [text_of(known.get(path).text).count(MIND) for path in ("/", "/round", "/round/print")] == [1, 1, 1]

    farm.alerts = {19: replace(ALERT, id=19, rule="late-cow", subject="cow:7", text="Cow 7 not milked for 15 h")}
    assert [text_of(known.get(path).text).count(MIND) for path in ("/", "/round", "/round/print")] == [0, 0, 0]


def test_figures_of_one_are_said_so(farm):
    """Behind an alert, and of a rule: 1 visit, raised once; 2 visits, raised 2 times."""
    for n, visited, raised in ((1, "1 visit", "raised once"), (2, "2 visits", "raised 2 times")):
        farm.alerts = {17 + k: replace(ALERT, id=17 + k, facts={"visits": n}) for k in range(n)}
        known = as_person(farm)

        assert f"visits counted {visited} " in text_of(known.get("/alert/17").text) + " "
        assert raised in text_of(known.get("/rules").text)


def test_an_export_that_is_behind_is_the_first_thing_seen(farm):
    """Above everything that stands, with the time until which it is known; its alert is not listed again below."""
    late = FeedFacts("milkings", ("visits",), "hourly", AT - 7200)
    farm.tables = replace(farm.tables, farm=replace(FACTS, feeds=(late,)))
    farm.alerts[18] = replace(ALERT, id=18, rule="feed-quiet", subject="feed:milkings", text="No new rows")
    page = as_person(farm).get("/").text
    said = text_of(page)

    assert "Exports gone quiet Export milkings is behind known until 06:00" in said
    assert said.index("Export milkings is behind") < said.index("5 failed attachments")
    assert page.count('href="/alert/18"') == 1


def test_a_quiet_farm_says_so(farm):
    """With the time until which each export is known."""
    farm.alerts.clear()
    said = text_of(as_person(farm).get("/").text)

    assert "No open alerts. Every export is as fresh as it should be." in said
    assert "milkings 07:50" in said


def test_the_round_lists_what_stands_and_can_be_printed(farm):
    """The sheet has boxes to tick by hand and no buttons."""
    phone = as_person(farm)
    page, sheet = phone.get("/round"), phone.get("/round/print")

    assert "Round of 06:30" in text_of(page.text)
    assert "5 failed attachments" in text_of(page.text)
    assert "☐ Box 2: 5 failed attachments" in text_of(sheet.text)
    assert "<button" not in sheet.text


class LateCows(InMemory):
    """The farm with a rule on late cows, two of them, and what they gave lately."""

    def __init__(self) -> None:
        super().__init__()
        late = replace(ALERT, rule="late-cow", urgency="round")
        self.alerts = {
            n: replace(late, id=n, subject=f"cow:{cow}", text=f"Cow {cow} not milked for 15 h")
            for n, cow in ((1, "7"), (2, "9"), (3, "11"))
        }
        milked = [
            {"cow": cow, "start": AT - ago_h * 3600 - n * 8 * 3600, "box": "1", "outcome": "milked", "milk_kg": kg}
            for cow, ago_h, kg in (("7", 17, 8.0), ("9", 15, 12.0))
            for n in range(8)
        ]
        self.tables = Tables(visits=frame(VISITS, *milked), farm=replace(FACTS, feeds=()))

    def snapshot(self) -> Snapshot:
        """With that rule."""
        rule = Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", raise_over=14)
        found = super().snapshot()
        return replace(found, rules={**found.rules, "late-cow": rule})


def test_cows_to_bring_are_listed_with_the_milk_that_waits():
    """Most first, with the hours; on paper too. Of whom nothing is known nothing is said."""
    phone = as_person(LateCows())
    page, sheet = (text_of(phone.get(path).text) for path in ("/round", "/round/print"))

    for said in (page, sheet):
        assert said.index("Cow 9 not") < said.index("Cow 7 not") < said.index("Cow 11 not")
    assert "Cow 9 not milked for 15 h about 22 kg waiting, 15.0 h since milking" in page
    assert "Cow 7 not milked for 15 h about 17 kg waiting, 17.0 h since milking" in page
    assert "☐ Cow 9 not milked for 15 h, about 22 kg waiting, 15.0 h since milking" in sheet
    assert "3 things to do." in page


def test_a_cow_has_a_page_reached_by_her_number(farm):
    """A whole number leads to her at once; the beginning of one lists those that have it."""
    phone = as_person(farm)

    assert phone.get("/find?q=217").url.path == "/cow/217"
    said = text_of(phone.get("/cow/217").text)
    assert "Cow 217 1 h since milking" in said.replace("0,8", "1").replace("0.8", "1")
    listed = phone.get("/find?q=2").text
    assert 'href="/box/2"' in listed
    assert 'href="/cow/217"' in listed
    assert "Nothing found for 999." in text_of(phone.get("/find?q=999").text)


@pytest.mark.parametrize("path", ["/cow/999", "/box/9", "/tank/9", "/cow/217/XX", "/alert/99", "/nowhere"])
def test_what_is_not_known_is_said_in_words(farm, path):
    """With status 404."""
    page = as_person(farm).get(path)

    assert page.status_code == 404
    assert "does not work" in text_of(page.text)


def test_boxes_and_quarters_have_pages(farm):
    """A box's failures and chores; a quarter only if something is known of it."""
    phone = as_person(farm)

    assert "Box 2 2 cows in the last 24 h" in text_of(phone.get("/box/2").text)
    assert phone.get("/cow/217/LF").status_code == 404


def test_charts_have_their_figures_in_words(farm):
    """For who cannot see them: a name, a description, and the same sentences below."""
    page = as_person(farm).get("/cow/217").text
    (name, description) = re.search(r'aria-labelledby="(\S+)" aria-describedby="(\S+)"', page).groups()

    assert f'<title id="{name}">' in page
    assert f'<desc id="{description}">' in page
    assert "In words" in text_of(page)


# --- the log, exports, rules -------------------------------------------------------------------------------


@pytest.fixture
def logged(farm) -> InMemory:
    """A farm with a small log; one note would start a formula in a spreadsheet."""
    farm.entries = [
        Entry(AT - 900, "read", None, "", "feed:milkings", "", {"file": "m.csv", "rows": 3, "new": 3, "corrected": 0}),
        Entry(AT - 600, "raised", 17, "box-failures", "box:2", "", {"text": ALERT.text}),
        Entry(AT - 300, "answer", 17, "box-failures", "box:2", "Marit", {"finding": "optics dirty", "note": "=1+1"}),
        Entry(AT - 200, "chore", None, "", "chore:wire/east", "Onno", {"note": "", "done_at": AT - 200}),
    ]
    return farm


@pytest.mark.parametrize(
    ("asked", "kinds"),
    [
        ("", ["chore", "answer", "raised"]),
        ("kind=all", ["chore", "answer", "raised", "read"]),
        ("kind=read", ["read"]),
        ("person=Onno", ["chore"]),
        ("subject=box+2", ["answer", "raised"]),
        ("finding=optics+dirty", ["answer"]),
        ("rule=box-failures&kind=raised", ["raised"]),
        ("alert=17", ["raised", "answer"]),
        ("to=2026-05-03", []),
        ("from=2026-05-04&to=2026-05-04&person=Marit", ["answer"]),
    ],
)
def test_the_log_is_chosen_by_what_the_address_says(logged, asked, kinds):
    """The newest first; of one alert the whole story in order; what is read is left out unless it is asked for."""
    page = as_person(logged).get(f"/history?{asked}").text
    shown = re.findall(r"<li><span[^>]*>[^<]*</span> <strong>([a-z ]+)</strong>", page)

    assert shown == kinds


def test_what_is_shown_of_the_log_can_be_taken_along(logged):
    """As CSV, safe for a spreadsheet, and as JSON, by the same choice; also from the page's own links."""
    phone = as_person(logged)
    (link,) = re.findall(r'href="(/history\.csv[^"]*)"', phone.get("/history?kind=answer").text)
    rows = list(csv.DictReader(io.StringIO(phone.get(link).text)))
    told = phone.get("/history.json?kind=answer")

    assert [(row["kind"], row["person"]) for row in rows] == [("answer", "Marit")]
    assert rows[0]["what"] == "optics dirty;' =1+1"  # a spreadsheet may part at the semicolon
    assert [one["body"]["finding"] for one in told.json()] == ["optics dirty"]
    assert "attachment" in told.headers["content-disposition"]


@pytest.mark.parametrize("asked", ["from=yesterday", "to=32", "alert=x"])
def test_a_choice_that_is_none_is_refused(logged, asked):
    """In words, not by a fault."""
    assert as_person(logged).get(f"/history?{asked}").status_code == 400


def test_exports_show_what_was_set_aside_and_why(farm):
    """The row as it stands in the export, as text."""
    page = as_person(farm).get("/feeds").text

    assert "m.csv , line 3: no number 217;&lt;b&gt;x&lt;/b&gt;" in text_of(page)


def test_rules_are_told_in_words_with_their_thresholds(farm):
    """What is watched, from when on it is told, how often it was."""
    known = as_person(farm)
    listed, said = text_of(known.get("/rules").text), text_of(known.get("/rules/box-failures").text)

    assert "box-failures : rings at once: from 6 failures on; over at: 5 failures or less raised once" in listed
    assert "…" not in listed + said
    assert "When it raises an alert rings at once from 6 failures on over at 5 failures or less Per box." in said
    assert "The last 30 days raised 1 rang 0 answered 0 of these, nothing found 0" in said
    assert "On this farm: raised once, 1 open, 0 answered." in said
    assert known.get("/rules/no-such-rule").status_code == 404


def test_from_an_alert_its_rule_is_one_tap_away(farm):
    """The line leads to the rule's own page, which a notice's link opens as well."""
    assert 'href="/rules/box-failures"' in as_person(farm).get("/alert/17").text


# --- of every page -------------------------------------------------------------------------------------------

each = pytest.mark.parametrize("path", addresses("weight", **THERE).values())


@each
def test_a_page_and_all_it_needs_are_small_and_its_own(path):
    """Under 100 kB with style, script and icon; one heading, named parts, a way to skip to the main one."""
    phone = as_person(InMemory(tables=everything()))
    page = phone.get(path).text
    needs = re.findall(r'<(?:link rel="(?:stylesheet|icon|manifest)" href|script src)="([^"]+)"', page)

    assert len(page.encode()) + sum(len(phone.get(one).content) for one in needs) < MOST_BYTES
    assert len(needs) == 4 + (path == "/round" or path.endswith("/tune"))  # a script of their own
    assert len(re.findall(r"<h1\b", page)) == 1
    assert '<html lang="en">' in page
    assert 'href="#main"' in page
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for named in re.findall(r'<label for="([^"]+)"', page):
        assert named in ids


@each
def test_names_from_exports_and_people_stay_text(path):
    """A farm, a cow's alert, a chore, a feed and a file may be called anything."""
    farm = InMemory(people=(NASTY, "Marit"))
    farm.plan = replace(settings(), name=NASTY)
    farm.alerts[17] = replace(ALERT, text=NASTY, note=NASTY, look_first=(NASTY,), facts={"because": NASTY})
    farm.entries = [Entry(AT, "answer", 17, NASTY, f"box:{NASTY}", NASTY, {"finding": NASTY, "note": NASTY})]
    farm.tables = replace(everything(NASTY, NASTY), farm=replace(FACTS, feeds=(FeedFacts(NASTY, ("visits",)),)))

    page = as_person(farm).get(path)

    assert page.status_code == 200
    assert "<script>" not in page.text


def test_why_an_alert_came_is_one_line_away_from_it() -> None:
    """The alert's page leads there; it has the row with its file and line; of no alert there is none."""
    page = as_person(InMemory())

    assert 'href="/alert/17/why"' in page.get("/alert/17").text
    said = text_of(page.get("/alert/17/why").text)
    assert "m_1.csv, line 7" in said and "nothing had been read yet then" in said and "Nobody answered." in said
    assert page.get("/alert/999/why").status_code == 404
