"""No page of a farm whose language is German has English left: of one that lived a night, one with an ill cow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import pytest
from herd_of_three import RAISED, herd, rules_that_ship
from page_farm import THERE, InMemory, as_person, browser, settings
from screens import addresses
from text_tables import moment
from whole.texts.english import left_over, said_on
from whole.texts.test_german import NAMES, lived
from whole.whole_farm import Life

from sentinel.edges.locales import words_of
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.log_reasons import with_reasons
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import Alert
from sentinel.flow.notices import Desk, told_next
from sentinel.flow.settings.people import Person
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.snapshot import Snapshot

SAID = {"en": RAISED.text, "de": "Kuh 217, hinten rechts: Leitfähigkeit 24 % höher als sonst: 7,3 von 5,0 Punkten"}
"""What her alert says."""

OWN = {
    *NAMES,
    "do",
    "lactation",
    "east",
    "west",
    "test",
    "farm",
    "onno",
    "marit",
    "joren",
    "milkings",
    "late",
    "visits",
    "boxlog",
    "sentinel",
}
"""Words that are no English here: the farm's own (its name, groups, blocks, exports and people), and Thursday."""

FROM_SOURCES = "Quelle der Berechnung"
"""Where a measure's formula comes from is said as it was published."""


@dataclass
class Told(InMemory):
    """A farm that speaks German, with the rules that ship; `life`: the one it has lived, if any."""

    life: Life | None = None
    logged: list[Logged] = field(default_factory=list)

    def snapshot(self) -> Snapshot:
        """The same with the rules that ship."""
        return replace(super().snapshot(), rules=rules_that_ship())

    def told_next(self, alert: Alert) -> tuple[str, ...]:
        """Who is told next in a farm with two people, nobody having been told yet."""
        people = (Person("Marit", ("phone",), worklist=True), Person("Onno", ("phone",)))
        desk = Desk(people, self.plan.rounds, zone=self.plan.zone, rules=rules_that_ship(), words=words_of(self.plan))
        return told_next(self.now, desk, alert, [alert], [])

    def set_aside(self) -> list[dict[str, object]]:
        """What could not be read in that life."""
        return [dict(one) for one in rows_set_aside(self.life.store)] if self.life else []

    def log(self, alert: int | None = None, kind: str = "", since: int = 0) -> list[Logged]:
        """What was logged of the life."""
        return [
            one
            for one in self.logged
            if alert in (None, one.entry.alert) and kind in ("", one.entry.kind) and one.entry.at >= since
        ]


def after_a_night(language: str) -> Told:
    """The farm of the other test, with all its alerts, its log and its rows, at the afternoon's round."""
    life = lived(language)
    setup = life.engine.setup
    alerts = {alert.id: alert for alert in all_alerts(life.store)}
    tables = life.engine.tables or Tables()
    return Told(
        now=moment("16:25"),
        alerts=alerts,
        people=tuple(person.name for person in setup.people),
        own={1: ("Marit", False, moment("16:25") + 10**7)},
        tables=tables,
        plan=setup.farm,
        life=life,
        logged=list(with_reasons(life.store, log_entries(life.store))),
    )


def with_ill_cows(language: str) -> Told:
    """Three cows of whom much, something and little is told, with an alert that was answered."""
    return Told(
        alerts={17: replace(RAISED, text=SAID[language])}, tables=herd(), plan=settings(f"language: {language}\n")
    )


def pages(farm: Told, places: dict[str, str]) -> Iterator[tuple[str, str]]:
    """Every page by its address, a page for each alert, and what is said to who may not or finds nothing."""
    phone = as_person(farm)
    paths = {*addresses("accessibility", **places).values()}
    paths |= {f"/alert/{number}" for number in farm.alerts} | {"/find?q=1", "/find?q=zzz", "/history?show=all"}
    paths |= {f"/cow/{cow}" for cow in [*dict.fromkeys(farm.tables.visits["cow"])][:4]}
    for path in sorted(paths):
        yield path, phone.get(path).text
    for path in ("/cow/none", "/alert/999", "/a/nothing"):
        yield path, phone.get(path).text
    yield "a stranger's", browser(farm).get("/").text


def english_on(page: str) -> set[str]:
    """What is English on a page."""
    return left_over((text for text in said_on(page) if not text.startswith(FROM_SOURCES)), OWN)


NIGHT = {"alert": "1", "cow": "302", "quarter": "LF", "box": "2", "tank": "1", "rule": "late-cow"}


@pytest.mark.parametrize(("made", "places"), [(after_a_night, NIGHT), (with_ill_cows, THERE)])
def test_no_page_has_english_left(made, places: dict[str, str]) -> None:
    """Neither a word nor a piece of a sentence; the same pages in English are full of both."""
    found = {path: english_on(page) for path, page in pages(made("de"), places)}
    english = set[str]().union(*(english_on(page) for _, page in pages(made("en"), places)))

    assert {path: left for path, left in found.items() if left} == {}
    assert len(found) > 20
    assert len([one for one in english if " " in one]) > 40
    assert len([one for one in english if " " not in one]) > 100
