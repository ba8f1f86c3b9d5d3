"""Alerts of a rule that follow one another come in one notice; the first of them rings at once."""

from __future__ import annotations

from dataclasses import replace

from flow.notices.small_days import Words, alert, at, desk, live, person, table

from sentinel.flow.model import HOUR_S, Alert
from sentinel.flow.notices import Desk, plan
from sentinel.flow.notices.together import About

LATE = Words(together_s=2 * HOUR_S, measure="hours_since_milking")


def farm(**given) -> Desk:
    """A farm whose very late cows come together within two hours."""
    return desk(person("Marit", next_after_s=20 * 60), person("Onno"), rules={"late-cow": replace(LATE, **given)})


def late(cow: int, moment: str, **given) -> tuple[int, Alert]:
    """A cow that grows very late at a moment."""
    return at(moment), alert(cow, at(moment), f"Cow {cow} not milked", rule="late-cow", subject=f"cow:{cow}", **given)


def answered(cow: int, moment: str, by: str) -> tuple[int, Alert]:
    """The same cow, answered a few minutes later."""
    when, one = late(cow, moment)
    return when + 300, replace(one, answered_at=when + 300, answered_by="Marit", finding="brought up", note=by)


def test_the_first_rings_at_once_and_the_others_come_in_one() -> None:
    """Two hours after it; what is answered by then is not among them."""
    events = [late(1, "02:00"), answered(1, "02:00", ""), *(late(n, f"02:{10 * n}") for n in (2, 3, 4))]
    events += [answered(3, "02:30", "")]
    told = [line for line in table(live(farm(), events, at("04:10"))) if "has-it" not in line]

    assert told == ["02:00 Marit alert 1", "04:00 Marit digest 2 4"]


def test_what_is_over_by_then_rings_nobody() -> None:
    """She came to be milked while the others were waited for."""
    when, one = late(2, "02:20")
    events = [late(1, "02:00"), answered(1, "02:00", ""), (when, one), (at("03:00"), replace(one, over_at=at("03:00")))]

    assert [line for line in table(live(farm(), events, at("06:00"))) if " 2" in line.partition("Marit")[2]] == []


def test_nobody_is_told_of_each_by_itself_when_it_is_handed_on_or_reminded_of() -> None:
    """The next person gets one notice of all as well, and so does who is reminded."""
    reminds = farm(remind_every_s=HOUR_S, remind_most=1)
    events = [late(n, "10:00") for n in (1, 2, 3)]

    assert table(live(reminds, events, at("11:30"))) == [
        "10:00 Marit digest 1 2 3",
        "10:20 Onno digest 1 2 3",
        "11:00 Marit digest 1 2 3",
        "11:20 Onno digest 1 2 3",
    ]


def test_other_rules_ring_as_they_did() -> None:
    """And one that stands alone is told as any alert."""
    events = [late(1, "10:00"), (at("10:05"), alert(2, at("10:05"))), (at("10:06"), alert(3, at("10:06")))]
    told = [line for line in table(live(farm(), events, at("10:10")))]

    assert told == ["10:00 Marit alert 1", "10:05 Marit alert 2", "10:06 Marit alert 3"]


def test_after_the_time_the_next_rings_at_once_again() -> None:
    """It counts from the last notice of the rule."""
    events = [late(1, "02:00"), late(2, "04:30")]
    told = [line for line in table(live(desk(person("Marit"), rules={"late-cow": LATE}), events, at("05:00")))]

    assert told == ["02:00 Marit alert 1", "04:30 Marit alert 2"]


def test_the_notice_names_each_in_the_order_in_which_it_is_best_seen_to() -> None:
    """With what more there is to say of it; what is to be minded is said once."""
    cows = [
        late(n, "10:00", caution=("Keep clear of a bull.",), look_first=("Is she in the yard?",))[1] for n in (1, 2, 3)
    ]
    about = {1: About((-4.0,), "about 4 kg waiting"), 2: About((-14.0,), "about 14 kg waiting"), 3: About((0.0,))}
    [told] = plan(
        at("10:00"), desk(person("Marit"), rules={"late-cow": LATE}), cows, [], None, {}, about=lambda a: about
    )

    assert told.title == "3 cows late to be milked"
    assert told.body.splitlines() == [
        "- Cow 2 not milked, since 10:00; about 14 kg waiting",
        "- Cow 1 not milked, since 10:00; about 4 kg waiting",
        "- Cow 3 not milked, since 10:00",
        "Look first:",
        "- Keep clear of a bull.",
        "- Is she in the yard?",
    ]
