"""Notices and what is to be sent of them, until it has arrived or is given up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import save_alerts
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.store.outbox import (
    NoticeOutcome,
    all_notices,
    deliveries_due,
    delivery_tried,
    drop_delivery,
    first_stuck_delivery,
    hurry_channel,
    is_waiting,
    last_ended_delivery,
    next_delivery_at,
    notice_outcomes,
    notice_with,
    notices_about,
    put_notices,
    put_off_delivery,
    reword_notice,
)
from sentinel.flow.model import Alert, Delivery, Entry, Notice
from sentinel.flow.reasons import as_said


def test_a_notice_has_a_line_in_the_outbox_for_each_channel() -> None:
    """It is due at once whatever the clock says, waits after a failed try, and is done when delivered; its id stays."""
    store = Store(None)
    notice = Notice(100, "Marit", "alert", "Box 2", "…", "now", (1,))
    [given] = put_notices(store, [notice], {"Marit": ("phone", "mail"), "Åse": ("sms",)})
    assert [(r.notice, r.channel, r.attempts) for r in deliveries_due(store, 40)] == [
        (1, "mail", 0),
        (1, "phone", 0),
    ]

    delivery_tried(store, 1, "phone", 101, "waiting", as_said("busy"), 131, ())
    delivery_tried(store, 1, "mail", 102, "delivered", "", None, [Entry(102, "delivered")])
    assert [r.channel for r in deliveries_due(store, 130)] == []
    assert [(r.notice, r.channel, r.attempts) for r in deliveries_due(store, 131)] == [(1, "phone", 1)]
    assert (given.id, next_delivery_at(store)) == ("1", 131)
    assert [(d.channel, d.outcome) for d in waiting_inputs(store)[2]] == [("mail", "delivered")]


def two_notices() -> Store:
    """A store with two notices to Marit's phone: the first given up, the second tried once."""
    store = Store(None)
    notices = [Notice(at, "Marit", "alert", "Box 2", "…", "now", (number,)) for number, at in ((1, 100), (2, 200))]
    put_notices(store, notices, {"Marit": ("phone",)})
    delivery_tried(store, 1, "phone", 150, "gave_up", as_said("busy"), None, ())
    delivery_tried(store, 2, "phone", 210, "waiting", as_said("still busy"), 900, ())
    return store


def test_what_became_of_a_persons_notices_is_told_by_channel_and_kind() -> None:
    """All of them, those since a moment, or those written before another one."""
    store = two_notices()

    def found(channel: str = "phone", kinds: Sequence[str] = ("alert",), **more: int) -> list[tuple[int, str]]:
        return [(one.notice, one.outcome) for one in notice_outcomes(store, "Marit", channel, kinds, **more)]

    assert found() == [(1, "gave_up"), (2, "waiting")]
    assert notice_outcomes(store, "Marit", "phone", ("alert",))[0] == NoticeOutcome(1, 100, frozenset({1}), "gave_up")
    assert (found(since=200), found(before=2)) == ([(2, "waiting")], [(1, "gave_up")])
    assert (found("mail"), found(kinds=("over", "still"))) == ([], [])
    assert [is_waiting(store, "Marit", "phone", kind) for kind in ("alert", "still")] == [True, False]


def test_a_channel_is_known_by_what_ended_last_and_by_what_waits_longest() -> None:
    """Of one by which nothing was ever sent there is neither."""
    store = two_notices()

    assert last_ended_delivery(store, "phone") == Delivery("1", "phone", 150, "gave_up", as_said("busy"))
    assert first_stuck_delivery(store, "phone") == (200, as_said("still busy"))
    assert (last_ended_delivery(store, "mail"), first_stuck_delivery(store, "mail")) == (None, None)


def test_what_waits_may_be_hurried_put_off_or_dropped() -> None:
    """Its next try is moved, and what is dropped is in the outbox no more."""
    store = two_notices()
    hurry_channel(store, "phone", 300)
    assert next_delivery_at(store) == 300
    put_off_delivery(store, 2, "phone", 800, 4)
    assert [(line.notice, line.attempts) for line in deliveries_due(store, 800)] == [(2, 4)]
    drop_delivery(store, 2, "phone")

    assert (deliveries_due(store, 800), next_delivery_at(store)) == ([], None)
    assert notice_with(store, 2) is not None


def test_a_notice_whose_words_were_made_when_it_was_sent_says_them() -> None:
    """Its person, kind and number stay; others are as they were."""
    store = two_notices()
    first, second = all_notices(store)
    reword_notice(store, replace(second, at=400, title="3 alerts", body="- …", alerts=(1, 2)))

    assert notice_with(store, 2) == Notice(400, "Marit", "alert", "3 alerts", "- …", "now", (1, 2), "2")
    assert notice_with(store, 1) == first
    assert notices_about(store, (), 400) == [notice_with(store, 2)]
    assert notice_with(store, 3) is None


def test_notices_about_some_alerts_are_found_however_old_and_others_of_late() -> None:
    """What was told of an incident is worked out of them: one that is missing would be sent again."""
    store = Store(None)
    save_alerts(store, [Alert(n, "late-cow", f"cow:{n}", 100 * n, 100 * n, "now", "") for n in (1, 2, 3)])
    put_notices(store, [Notice(100 * n, "Marit", "alert", "", "", "now", (n,)) for n in (1, 2, 3)], {})
    put_notices(store, [Notice(400, "Marit", "digest", "", "", "now", (1, 3))], {})

    assert [one.id for one in notices_about(store, (1,), 500)] == ["1", "4"]
    assert [one.id for one in notices_about(store, (2,), 300)] == ["2", "3", "4"]
    assert notices_about(store, (), 500) == []


def test_a_notice_of_the_log_alone_goes_to_no_channel() -> None:
    """The worklist says it: it is only kept, so that it counts as told."""
    store = Store(None)
    put_notices(store, [Notice(100, "Marit", "over", "", "", "log", (1,))], {"Marit": ("phone",)})

    assert (len(all_notices(store)), deliveries_due(store, 200)) == (1, [])
