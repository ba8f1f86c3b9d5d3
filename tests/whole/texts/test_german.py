"""A farm whose language is German, lived through: what its phones are told has no English left in it."""

from __future__ import annotations

from functools import cache

import pytest
from text_tables import moment
from whole.texts.english import left_over
from whole.whole_farm import FARM, FEED, Life, batch, setup_of, shipped_rules

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_of_rule, all_alerts
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import all_notices
from sentinel.flow.model import Alert, Answer, Chore, Export, Notice
from sentinel.runtime.ticks import batch_of

MARIT = """
- person: Marit
  channels: [marit-phone]
  hours: always
  next_after: 20 min
  at_most: 9 per hour
  worklist: yes
- person: Joren
  channels: [joren-phone]
  hours: always
  at_most: 9 per hour
"""

FIRST = """
    cow  start  box  outcome
    101  02:00  1    milked
    102  02:30  2    milked
"""

FAILING = """
    cow  start  box  outcome
    301  03:20  2    failed
    302  03:30  2    failed
    303  03:40  2    failed
    304  03:50  2    milked
    305  04:00  2    failed
    306  04:10  2    failed
    307  04:20  2    failed
    308  04:30  2    milked
    309  04:40  2    failed
    310  04:50  2    failed
    302  04:55  1    failed
    302  04:58  2    failed
    101  05:00  1    milked
"""
"""Box 2 misses one after the other, cow 302 at both boxes."""

WELL = range(360, 409)
"""Cows that box 2 attaches at once, a minute each, when its optics are clean."""

BROKEN_ROW = "Cow,Start,Box,Ended\n101,05:10 or so,1,milked\n"

NAMES = {"start", "or", "so", "milkings"}
"""English that is the farm's own: what stood in its export, and the export's name."""


@cache
def lived(language: str) -> Life:
    """The night of box 2 on a farm of that language, up to the round in the afternoon."""
    setup = setup_of(shipped_rules(), (FEED,), f'{FARM}language: {language}\ndecimal: ","\n', MARIT)
    life = Life(setup)
    life.at("02:35", batch(FIRST))
    life.at("05:05", batch(FAILING))
    broken = batch_of(setup, Export("milkings_0510.csv", BROKEN_ROW.encode(), moment("05:10")))
    assert broken is not None
    life.at("05:10", broken)
    life.at("06:20")
    [failing] = alerts_of_rule(life.store, "box-failures")
    done = [("filter", "1"), ("filter", "2"), ("wire", "east")]
    life.at("06:25", chores=tuple(Chore(chore, place, moment("06:25"), "Marit") for chore, place in done))
    life.at("06:40", answers=(Answer(failing.id, moment("06:35"), "Joren", "optics dirty"),))
    life.at("07:05", batch("\n".join(["cow  start  box  outcome", *(f"{n}  06:{n - 350}  2  milked" for n in WELL)])))
    life.at("15:00", batch(FIRST.replace("02:", "14:")))
    life.at("16:20")
    return life


@pytest.fixture(scope="module")
def german() -> Life:
    """The farm that speaks German."""
    return lived("de")


def notices(store: Store, kind: str) -> list[Notice]:
    """The notices of a kind, in order."""
    return [one for one in all_notices(store) if one.kind == kind]


def about(store: Store, rule: str) -> Alert:
    """The first alert of a rule."""
    return alerts_of_rule(store, rule)[0]


def of_the_store(store: Store) -> set[str]:
    """English in any notice that was sent and in any alert as it is kept."""
    told = [f"{one.title}\n{one.body}" for one in all_notices(store)]
    for alert in all_alerts(store):
        told += [
            alert.text,
            alert.course,
            *alert.caution,
            *alert.look_first,
            *(str(one["said"]) for one in alert.facts.get("suspects", ())),
        ]
    return left_over(told, NAMES)


def test_a_notice_about_a_box_is_german_from_the_title_to_the_last_hint(german: Life) -> None:
    """The rule's sentence, what the measure put into it, figures and times, and what to look at first."""
    first = notices(german.store, "alert")[0]

    assert first.title == "Box 2: 9 der letzten 11 nicht angesetzt"
    assert first.body.splitlines() == [
        "Box 2: 9 der letzten 11 nicht angesetzt, 0,82 bei diesen Kühen üblich; an den anderen Boxen 1 von 1 "
        "nicht angesetzt, 0 üblich (oder es ist der Arm).",
        "Seit 04:20.",
        "Dazu:",
        "- Kuh 302: 3 Fehlversuche beim Ansetzen in 24 h (3 Besuche), seit 04:58 (mit box-failures, Box 2)",
        "Zuerst ansehen:",
        "- Nimm die Box zuerst außer Betrieb, wie ihre Anleitung es sagt, bevor du hineingehst oder hineingreifst.",
        "- Arm: Steht er in Ruhe, wo er soll? Steht er falsch, geh nach der Anleitung vor oder ruf den Service.",
        "- Optik: schmutzig, nass oder voller Fliegen? Reinige sie, wie die Anleitung es sagt.",
        "- Ist es immer dieselbe Kuh? Dann sieh dir lieber ihr Euter und ihre Beine an.",
    ]


def test_a_worklist_is_german_with_its_chores_and_why_a_row_was_set_aside(german: Life) -> None:
    """Headings, alerts, chores due, the reason that the store keeps as a code, and until when feeds are known."""
    worklist = notices(german.store, "worklist")[-1]

    assert worklist.title == "Rundgang 16:30: 6 Aufgaben"
    assert worklist.body.splitlines() == [
        "Boxen und Milchkammer:",
        "Nimm die Box zuerst außer Betrieb, wie ihre Anleitung es sagt, bevor du hineingehst oder hineingreifst.",
        "- Box 1: 9 h lang kein Filterwechsel notiert, seit 15:25",
        "- Box 2: 9 h lang kein Filterwechsel notiert, seit 15:25",
        "Kühe:",
        "- Kuh 302: 3 Fehlversuche beim Ansetzen in 24 h (3 Besuche), seit 04:58",
        "Weide:",
        "- Zaun east bis 21:25",
        "Büro:",
        '- milkings_0510.csv: nichts davon war zu lesen. Erster Grund: "Start": "05:10 or so" ist keine '
        "ISO-Zeit (2026-03-28 06:30), seit 05:10",
        "- Export milkings: 105 min lang keine neuen Zeilen; was darauf beruht, ist nicht zu sagen, seit 16:00; "
        "gemeldet bei 90 min, jetzt 105 min",
        "Seit der letzten Liste vorbei:",
        "- Vorbei um 07:05 (es trifft nicht mehr zu): Box 2: 9 der letzten 11 nicht angesetzt, 0,82 bei diesen "
        "Kühen üblich; an den anderen Boxen 1 von 1 nicht angesetzt, 0 üblich (oder es ist der Arm). Joren: Optik "
        "schmutzig.",
        "Nicht alles wird beobachtet: Export milkings ohne neue Daten.",
        "Bekannt bis: milkings 14:30.",
    ]


def test_what_was_found_is_kept_as_the_rule_has_it_and_told_in_german(german: Life) -> None:
    """So that answers can be counted whatever the language was."""
    found = about(german.store, "box-failures")

    assert (found.finding, found.answered_by) == ("optics dirty", "Joren")
    assert [one.entry.body["finding"] for one in log_entries(german.store, kind="answer")] == ["optics dirty"]
    assert any("Joren: Optik schmutzig" in one.body for one in notices(german.store, "over"))


def test_no_english_is_left_over(german: Life) -> None:
    """Of the words that the catalogue has in English alone, none is told; the same farm in English is full of them."""
    assert len(all_notices(german.store)) > 6
    assert of_the_store(german.store) == set()
    assert len(of_the_store(lived("en").store)) > 100  # so the words are found where they are


def test_what_was_told_in_german_is_told_again(german: Life) -> None:
    """A replay of what was known when gives the same alerts back, as in any language."""
    assert german.told_again == german.alerts
    assert len(german.alerts) > 4
