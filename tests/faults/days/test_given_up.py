"""A notice that its channel did not take is lost to a person only if they were never told and had to be."""

from __future__ import annotations

import pytest
from faults.days.given_up import given_up

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import save_alerts
from sentinel.edges.store.outbox import delivery_tried, put_notices
from sentinel.flow.model import Alert, Notice, Subject

BACK_AT = 12_000


def refused(over_at: int | None, told_again: bool) -> Store:
    """A store whose notice of an alert at 0 s was given up after two hours; its channel worked again at `BACK_AT`."""
    store = Store(None)
    save_alerts(store, [Alert(1, "box-quiet", Subject("box:2"), 0, 0, "now", "Box 2 is quiet.", over_at=over_at)])
    first = Notice(0, "Anna", "alert", "Box 2", "…", "now", (1,))
    later = Notice(BACK_AT, "Anna", "still", "Still open", "…", "now", (1,) if told_again else ())
    put_notices(store, [first, later], {"Anna": ("phone",)})
    delivery_tried(store, 1, "phone", 7200, "gave_up", "", None, ())
    delivery_tried(store, 2, "phone", BACK_AT, "delivered", "", None, ())
    return store


@pytest.mark.parametrize(
    ("over_at", "told_again", "kept"),
    [(None, True, {"told later": 1}), (9000, False, {"settled": 1}), (None, False, {}), (BACK_AT + 1, False, {})],
)
def test_only_what_nobody_told_later_is_lost(over_at: int | None, told_again: bool, kept: dict[str, int]) -> None:
    """What was still open when the channel worked again, and in no notice from then on."""
    found = given_up(refused(over_at, told_again))

    assert found.kept == kept
    assert found.lost == ([] if kept else ["notice 1 (alert) by phone: gave_up box-quiet box:2"])


def test_a_notice_that_still_waits_is_lost() -> None:
    """Four peaceful hours after the end everything ought to have been sent."""
    store = Store(None)
    put_notices(store, [Notice(0, "Anna", "worklist", "Round", "…", "round", ())], {"Anna": ("phone",)})

    assert given_up(store).lost == ["notice 1 (worklist) by phone: waiting "]
