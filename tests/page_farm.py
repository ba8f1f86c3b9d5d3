"""A small farm for the page's tests, kept in memory: two people, one alert, one rule, two boxes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd
from starlette.testclient import TestClient

from sentinel.edges.photos import NoPicture, made_anew
from sentinel.edges.web import Access, Unkept, make_app, sign_entry, sign_link
from sentinel.edges.web.auth.links import form_token, new_session, sign_session
from sentinel.flow.alerts.chain import START, Logged, chained
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.model import Alert, Answer, Chore, Entry
from sentinel.flow.reasons import Reason, as_said
from sentinel.flow.record.story import story
from sentinel.flow.record.why import RowShown, Why
from sentinel.flow.replay import Coming
from sentinel.flow.rules import Rule, Setting, load_rules
from sentinel.flow.schedule.chores import with_word
from sentinel.flow.settings.farm import Farm, load_farm
from sentinel.flow.tables import TANK, VISITS, FarmFacts, FeedFacts, Table, Tables, empty_frame, frame_types, wide
from sentinel.flow.tuning.edit import CannotWrite, Prepared, edited, entry_body, undo_of
from sentinel.flow.tuning.episodes import Episode
from sentinel.flow.tuning.sweep import history_of
from sentinel.flow.tuning.trial import Trial, can_be_tried, trial_of
from sentinel.flow.views.parts.snapshot import Snapshot

KEY = "a key made for this test"
AT = 1_777_881_600  # Monday 4 May 2026, 08:00 UTC
BASE = "http://farm.test"

ALERT = Alert(
    id=17,
    rule="box-failures",
    subject="box:2",
    raised_at=AT,
    since=AT - 600,
    urgency="now",
    text="Box 2: 5 failed attachments",
    look_first=("Put the box out of operation first", "Is the lens clean?", "Compare with box 1", "One too many"),
)
FARM = """\
name: Test farm
zone: UTC
boxes: ["1", "2"]
rounds: ["06:30", "16:30"]
chores:
  filter: {places: boxes}
  wire: {places: [east]}
"""
RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} in 6 h"
  findings: [optics dirty, arm out of line, "<b>other</b> & more"]
- rule: feed-quiet
  measure: feed_quiet_min
  raise_over: 90 min
  urgency: now
  say: "Feed {feed}: no new rows for {value}"
"""


def settings(more: str = "") -> Farm:
    """The farm's settings, with further lines of farm.yaml."""
    farm, problems = load_farm(FARM + more, "farm.yaml")
    assert farm is not None, problems
    return farm


def a_trial(rule: Rule, now: int) -> Trial:
    """The rule on a week in which box 2 failed at up to nine visits in a row; one alert was looked into."""
    starts = np.arange(now - 7 * 86400, now, 1800)
    visits = empty_frame(VISITS).reindex(range(len(starts)))
    visits["start"], visits["cow"], visits["box"] = starts, [str(100 + n % 60) for n in range(len(starts))], "2"
    visits["outcome"] = ["failed" if n % 60 < n // 40 else "milked" for n in range(len(starts))]
    visits = visits.astype(frame_types(VISITS))
    tables = Tables(visits=visits, farm=FACTS)
    feeds = {table: ("milkings",) for table in (VISITS.name, *(f"{VISITS.name}.{name}" for name in visits))}
    coming = {"milkings": Coming(starts, starts)}
    known = (Episode("box:2", now - 2 * 86400, now - 86400, "nothing found"),)
    return trial_of(history_of(rule, {rule.name: rule}, tables, coming, feeds, known, None, now))


@dataclass
class InMemory:
    """What the page sees; `applied` says whether an answer is on its alert at once, `now` what time it is."""

    now: int = AT
    alerts: dict[int, Alert] = field(default_factory=lambda: {17: ALERT})
    people: tuple[str, ...] = ("Marit", "Onno")
    own: dict[int, tuple[str, bool, int]] = field(default_factory=lambda: {1: ("Marit", False, AT + 10**7)})
    shut: dict[str, int] = field(default_factory=dict)
    submissions: list[Answer | Chore] = field(default_factory=list)
    sent: dict[str, str] = field(default_factory=dict)
    made: dict[str, int] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)
    own_troubles: list[str] = field(default_factory=list)
    photos: dict[str, bytes] = field(default_factory=dict)
    tables: Tables = field(default_factory=lambda: Tables(farm=FACTS))
    plan: Farm = field(default_factory=settings)
    rules: str = RULES
    failing: tuple[str, ...] = ()
    applied: bool = True
    broken: bool = False
    is_damaged: bool = False

    def farm(self) -> Farm:
        """The settings."""
        return self.plan

    def snapshot(self) -> Snapshot:
        """Everything at this moment."""
        rules, _ = load_rules(self.rules, "rules/boxes.yaml")
        by_name = {rule.name: rule for rule in rules}
        return Snapshot(self.now, self.plan, self.people, by_name, self.tables, tuple(self.alerts.values()))

    def herd_past(self, snapshot: Snapshot) -> HerdPast:
        """What is in memory, and nothing of a year before."""
        return HerdPast(snapshot.tables.tank, snapshot.tables.cow_tests)

    def alert(self, alert: int) -> Alert | None:
        """The alert with this number."""
        return self.alerts.get(alert)

    def alerts_of(self, *subjects: str) -> tuple[Alert, ...]:
        """Those on these subjects."""
        return tuple(a for a in self.alerts.values() if not subjects or a.subject in subjects)

    def told_next(self, alert: Alert) -> tuple[str, ...]:
        """As the farm's notices would have it."""
        return ("Onno is told at 08:20 if nobody answers.",)

    def why(self, alert: Alert) -> Why:
        """As a store would have it: the row that it rested on, and that nobody was told."""
        row = RowShown("visits", alert.since, (("cow", "217"), ("box", "2")), (("m_1.csv", 7),))
        became = story(alert, self.log(alert.id), (), (), (), "UTC", {}, alert.raised_at, (), ())
        said = Reason("past-unread")
        return Why(alert.raised_at, alert.rule, alert.subject, alert, None, None, said, (row,), (), became, None)

    def log(self, alert: int | None = None, kind: str = "", since: int = 0) -> list[Logged]:
        """The entries that fit."""
        return [
            one
            for one in chained(self.entries, START, 0)
            if alert in (None, one.entry.alert) and kind in ("", one.entry.kind) and one.entry.at >= since
        ]

    def health(self) -> dict[str, object]:
        """At work unless something is the matter."""
        found = ["store-damaged"] if self.is_damaged else []
        return {"ok": not (found or self.own_troubles), "troubles": found}

    def troubles(self) -> list[str]:
        """What is the matter with sentinel itself."""
        return self.own_troubles

    def set_aside(self) -> list[dict[str, object]]:
        """One row that could not be read."""
        why = as_said("no number")
        row = {"feed": "milkings", "file": "m.csv", "at": AT, "line": 3, "row": "217;<b>x</b>", "reason": why}
        return [row]

    def access(self, person: str, link: int, begun: int) -> Access | None:
        """As the farm's store would have it."""
        if not link:
            listed = person in self.people and begun > self.shut.get(person, 0)
            return Access() if listed else None
        name, read_only, until = self.own.get(link, ("", False, 0))
        return Access(read_only, until) if name == person and self.now < until else None

    def entered(self, link: int) -> None:
        """Nothing to remember."""

    def said_of(self, number: str) -> str | None:
        """What was said before."""
        return self.sent.get(number)

    def said_at(self, number: str) -> int | None:
        """When it was made."""
        return self.made.get(number)

    def trial(self, rule: str) -> Trial | None:
        """The rule on a week in which box 2 failed now and then."""
        found = self.snapshot().rules.get(rule)
        return None if found is None or not can_be_tried(found) else a_trial(found, self.now)

    def may_tune(self, person: str) -> bool:
        """Marit may."""
        return person == "Marit"

    def prepare(self, rule: str, settings: Sequence[Setting], seen: Sequence[str] | None = None) -> Prepared | Reason:
        """As the farm's file would be."""
        try:
            edit = edited(self.rules, "rules/boxes.yaml", self.snapshot().rules[rule], settings, seen)
        except CannotWrite as error:
            return error.reason
        return Prepared("rules/boxes.yaml", self.rules, edit, self.failing)

    def put_back(self, rule: str, number: int) -> Prepared | Reason:
        """As the log has it."""
        edits = [one for one in self.log(kind="rule-edited") if one.entry.rule == rule]
        try:
            back = undo_of(rule, edits[-1] if edits else None, number)
        except CannotWrite as error:
            return error.reason
        what = self.prepare(rule, [(one.key, one.after) for one in back], [one.before for one in back])
        return what if isinstance(what, Reason) else replace(what, undoes=number)

    def write_rule(self, rule: str, what: Prepared, person: str, why: str, anyway: bool) -> Logged | Reason:
        """Change the file, and note it."""
        if not why and not what.undoes:
            return Reason("why-missing")
        if what.failing and not anyway:
            return Reason("example-fails", rule=rule, why=what.failing[0])
        self.rules = what.edit.text
        self.entries.append(Entry(self.now, "rule-edited", rule=rule, person=person, body=entry_body(what, why)))
        return self.log(kind="rule-edited")[-1]

    def photo(self, name: str) -> bytes | None:
        """One that was kept."""
        return self.photos.get(name)

    def put_photo(self, alert: Alert, person: str, content: bytes, number: str, at: int, said: str) -> Unkept | None:
        """Keep it, painted anew as the farm does, once."""
        clean = made_anew(content)
        if isinstance(clean, NoPicture):
            return Unkept(clean.most_pixels)
        if number not in self.sent:
            self.sent[number] = said
            body = {"file": f"{len(self.photos):032x}.jpg", "taken_at": at}
            self.photos[body["file"]] = clean
            self.entries.append(Entry(self.now, "photo", alert.id, alert.rule, alert.subject, person, body))
        return None

    def take(self, number: str, submission: Answer | Chore, said: str) -> str | None:
        """Take it down, once."""
        if self.broken:
            raise OSError("the disk is full")
        if number in self.sent:
            return self.sent[number]
        self.sent[number], self.made[number] = said, submission.at
        self.submissions.append(submission)
        if self.applied and isinstance(submission, Chore):
            self.tables = replace(self.tables, chores=with_word(self.tables.chores, [submission]))
        if self.applied and isinstance(submission, Answer) and submission.until is None and not submission.hand_to:
            told = {"answered_by": submission.person, "finding": submission.finding, "note": submission.note}
            self.alerts[submission.alert] = replace(self.alerts[submission.alert], answered_at=submission.at, **told)
        return None


FACTS = FarmFacts(
    boxes=("1", "2"), feeds=(FeedFacts("milkings", ("visits",), "hourly", AT - 600),), watched_since=AT - 10**6
)


THERE = {"alert": "17", "cow": "217", "quarter": "LF", "box": "2", "tank": "1", "rule": "box-failures"}
"""What stands in the addresses of screens, each of which `everything` has something to show of."""


def frame(table: Table, *rows: dict[str, Any]) -> pd.DataFrame:
    """Rows of a table, each by its columns' names; a column that a row does not name is missing in it."""
    empty = empty_frame(table)
    found = pd.DataFrame(list(rows), columns=list(empty.columns)).astype(frame_types(table))
    return found.sort_values(table.happened, ignore_index=True)


def everything(cow: str = "21", box: str = "1") -> Tables:
    """A few rows for every screen to show something of; `cow` was not attached at `box`."""
    milked = {"start": AT - 3600, "box": "2", "outcome": "milked", "milk_kg": 11.5}
    quarters = dict(zip(wide("conductivity_mS_cm"), (4.8, 4.6, 4.5, 4.6), strict=True))
    return Tables(
        visits=frame(
            VISITS,
            {**milked, **quarters, "cow": "217"},
            {"cow": cow, "start": AT - 7200, "box": box, "outcome": "failed"},
        ),
        tank=frame(TANK, {"tank": "1", "at": AT - 5400, "temperature_C": 4.1, "litres": 900.0, "cells_k_ml": 210.0}),
        farm=FACTS,
    )


def browser(farm: InMemory, secure: bool = False, **given: Any) -> TestClient:
    """A browser on this farm's page, known to nobody yet."""
    base = BASE.replace("http:", "https:") if secure else BASE
    return TestClient(make_app(farm, KEY, lambda: farm.now, secure), base_url=base, **given)


def as_person(farm: InMemory, person: str = "Marit", link: int = 1, **given: Any) -> TestClient:
    """A browser that has come in by a person's own link."""
    known = browser(farm, **given)
    assert known.get(sign_entry(BASE, KEY, link, person), follow_redirects=False).status_code == 303
    return known


def notice_link(alert: int = 17, person: str = "Marit", at: int = AT) -> str:
    """A signed link as it stands in a notice."""
    return sign_link(BASE, KEY, alert, person, at)


def token_in(html: str) -> str:
    """The form token of a page."""
    found = re.search(r'name="token" value="([0-9a-f]+)"', html)
    assert found, "this page has no form with a token"
    return found[1]


def text_of(html: str) -> str:
    """What a person reads of a page's main part."""
    main = html.split('<main id="main"')[1].split("</main>", maxsplit=1)[0].partition(">")[2]
    return " ".join(re.sub(r"<[^>]+>", " ", main).split())


def session_cookie(person: str, link: int, at: int) -> tuple[str, str]:
    """A session's cookie begun at a moment, and the token of its forms."""
    session = new_session(person, link, at)
    return sign_session(session, KEY), form_token(session, KEY)
