"""Alerts come out as they went in, by what is asked for."""

from __future__ import annotations

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import (
    alert_with,
    alerts_of_rule,
    alerts_on,
    alerts_with,
    all_alerts,
    newest_alert_id,
    newest_alerts,
    save_alerts,
    standing_alerts,
    standing_or_ended_since,
    unanswered_alerts,
)
from sentinel.flow.alerts.lifecycle import ENDED
from sentinel.flow.model import Alert


def test_an_alert_is_kept_as_it_is() -> None:
    """Every field comes back, also figures, lists and words from other alphabets."""
    store = Store(None)
    alert = Alert(
        3, "late-cow", "cow:217", 50, 40, "now", "Kuh 217 – 14 h", 14.5, {"box": "2", "n": 3}, ("Im Hof?", "=1+1"),
        over_at=90, over_why=ENDED, answered_at=60, answered_by="Åse", finding="brought up", note="ж",
        covered_by=("box-quiet box:2",), again=2, came_at=70,
    )  # fmt: skip
    save_alerts(store, [alert])

    assert all_alerts(store) == [alert]
    assert newest_alerts(store) == {("late-cow", "cow:217"): alert}


def test_the_newest_alert_of_each_rule_and_subject_is_remembered() -> None:
    """Older ones of the same pair stay in the store."""
    store = Store(None)
    save_alerts(store, [Alert(n, "r", s, n, n, "now", "") for n, s in ((1, "cow:7"), (2, "cow:8"), (3, "cow:7"))])

    assert [a.id for a in newest_alerts(store).values()] == [2, 3]


def test_alerts_are_asked_for_by_what_they_are() -> None:
    """By number, rule or subject, those that stand, and those that ended just now; always in order of their number."""
    store = Store(None)
    over, answered, standing = (
        Alert(3, "late-cow", "cow:7", 50, 40, "now", "", over_at=90),
        Alert(2, "late-cow", "cow:8", 50, 40, "now", "", answered_at=60),
        Alert(1, "box-quiet", "box:1", 50, 40, "now", ""),
    )
    assert newest_alert_id(store) == 0
    save_alerts(store, [over, answered, standing])

    assert all_alerts(store) == [standing, answered, over]
    assert (alert_with(store, 3), alert_with(store, 4)) == (over, None)
    assert alerts_with(store, (3, 1, 1, 9)) == [standing, over]
    assert alerts_of_rule(store, "late-cow") == [answered, over]
    assert alerts_on(store, ("cow:7", "box:1")) == [standing, over]
    assert standing_alerts(store) == [standing, answered]
    assert unanswered_alerts(store) == [standing]
    assert [len(standing_or_ended_since(store, at)) for at in (90, 91)] == [3, 2]
    assert newest_alert_id(store) == 3
