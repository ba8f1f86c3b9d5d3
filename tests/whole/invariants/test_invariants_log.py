"""Invariant 4: one standing alert per rule and subject, and everything that happens to it in one chained log."""

from __future__ import annotations

import sqlite3

import pytest
from text_tables import moment
from whole.whole_farm import BOX_FAILURES, FEED_QUIET, LATE_COW, Life, batch, setup_of

from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.log import log_entries
from sentinel.errors import LogChainError
from sentinel.flow.model import Answer

RULE = BOX_FAILURES + "  again_within: 2 h\n"
FAILS = "cow  start  box  outcome\n9  05:00  1  failed\n8  05:10  1  failed\n7  05:20  1  failed"


def a_morning() -> Life:
    """A box that fails, is answered, is over, fails again and is over at last."""
    life = Life(setup_of(RULE))
    life.at("05:30", batch(FAILS))
    life.at("05:40", batch("cow  start  box  outcome\n6  05:35  1  failed", file="milkings_2.csv"))
    life.at("05:50", answers=(Answer(1, moment("05:49"), "Marit", "optics dirty"),))
    life.at("11:40", batch("cow  start  box  outcome\n5  11:36  1  milked", file="milkings_3.csv"))
    again = "cow  start  box  outcome\n9  12:00  1  failed\n8  12:10  1  failed\n7  12:20  1  failed"
    life.at("12:30", batch(again, file="milkings_4.csv"))
    life.at("23:00", batch("cow  start  box  outcome\n5  22:00  1  milked", file="milkings_5.csv"))
    return life


def test_one_alert_stands_however_often_the_rule_holds() -> None:
    """More failures keep the alert with its newest figures; within two hours it comes again as the same one."""
    life = a_morning()

    [alert] = all_alerts(life.store)
    assert (alert.id, alert.again, alert.value) == (1, 1, 3.0)
    assert life.log("raised", "answer", "over", "again") == [
        "05:30 raised box-failures box:1",
        "05:50 answer box-failures box:1",
        "11:40 over box-failures box:1",
        "12:30 again box-failures box:1",
        "23:00 over box-failures box:1",
    ]


def test_no_alert_ever_changes_its_state_without_an_entry() -> None:
    """At every tick, what the log says of raised, over, answered and urgency is what the alert says."""
    life = a_morning()
    told = {}
    for logged in (one for one in log_entries(life.store) if one.entry.alert is not None):
        told.setdefault(logged.entry.alert, []).append(logged.entry.kind)
    for alert in all_alerts(life.store):
        kinds = told[alert.id]
        opened, ended = kinds.count("raised") + kinds.count("again"), kinds.count("over")
        assert opened - ended == int(alert.standing)
        assert kinds.count("again") == alert.again
    assert all(len([a for a in step.alerts if a.standing]) <= 1 for step in life.steps)


@pytest.mark.parametrize("change", ["update log set kind = 'over'", "delete from log", "delete from log where seq = 3"])
def test_the_store_refuses_to_change_the_log(change: str) -> None:
    """UPDATE and DELETE on the log fail whoever asks; new entries go on."""
    life = a_morning()
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        life.store.conn.execute(change)
    life.at("23:30")
    life.store.verify()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            "update log set body = replace(body, 'optics dirty', 'nothing found') where kind = 'answer'",
            "entry 5 was changed",
        ),
        ("update log set at = at + 1 where seq = 2", "entry 2 was changed"),
        ("delete from log where seq = 1", "entry 1 is missing"),
        ("delete from log where seq = 4", "entry 4 is missing"),
        ("update log set seq = seq - 1 where seq > 4", "entry 4 does not follow"),
    ],
)
def test_a_log_that_was_tampered_with_is_found_at_the_right_entry(change: str, said: str) -> None:
    """Somebody who takes the triggers away and edits, cuts or closes the gap is found at the first entry off."""
    life = a_morning()
    conn = life.store.conn
    conn.execute("drop trigger log_is_never_changed")
    conn.execute("drop trigger log_is_never_cut")
    if "seq - 1" in change:
        conn.execute("delete from log where seq = 4")
    conn.execute(change)

    with pytest.raises(LogChainError, match=said):
        life.store.verify()


def test_a_log_cut_at_its_end_is_only_seen_by_a_hash_noted_before() -> None:
    """The chain fits; number and last hash, noted elsewhere, no longer do."""
    life = a_morning()
    noted = life.store.verify()
    conn = life.store.conn
    conn.execute("drop trigger log_is_never_cut")
    conn.execute("delete from log where seq = (select max(seq) from log)")

    assert life.store.verify() != noted
    assert noted[1] not in [one.hash for one in log_entries(life.store)]


def test_a_rule_taken_out_ends_its_alert_and_says_which_edit_did_it() -> None:
    """An edit is an entry, and the alerts it ends or raises name it."""
    rules = LATE_COW + FEED_QUIET
    life = Life(setup_of(rules))
    life.at("05:00", batch("cow  start  box  outcome\n7  05:00  1  milked"))
    life.at("18:30", batch("cow  start  box  outcome\n8  18:30  1  milked", file="milkings_2.csv"))
    life.engine.use(setup_of(rules.replace("14 h", "13 h")))
    life.at("18:40")
    life.engine.use(setup_of(FEED_QUIET))
    life.at("18:50")

    assert [one for one in life.log("raised", "over") if "late-cow" in one] == [
        "18:40 raised late-cow cow:7",
        "18:50 over late-cow cow:7",
    ]
    changes = [e.entry.body["changes"] for e in log_entries(life.store, kind="rules-changed")]
    assert changes == [
        ["rules/rules.yaml: late-cow: raise_over 14 → 13 h"],
        ["rules/rules.yaml: late-cow was taken out"],
    ]
    because = [e.entry.body["because"] for e in log_entries(life.store, rule="late-cow")]
    assert because == ["; ".join(change) for change in changes]
