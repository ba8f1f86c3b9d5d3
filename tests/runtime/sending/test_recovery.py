"""A channel that is down for longer than it is tried: when it works again, what still stands unanswered is told."""

from __future__ import annotations

from dataclasses import dataclass, field

from text_tables import moment
from whole.whole_farm import FEED, Life, batch, setup_of

from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.store.alerts import alert_with, all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.log import log_entries
from sentinel.flow.model import Answer
from sentinel.runtime.sending.outbox import Outbox

FAILURES = """
- rule: any-failure
  measure: failed_attachments
  per: cow
  options: {within: 48 h}
  raise_over: 0 failures
  urgency: now
  say: "Cow {cow}: {value}"
"""
PEOPLE = "- person: Marit\n  channels: [phone]\n  at_most: 50 per hour\n"
DEAD = "json://127.0.0.1:1/"


class At(Clock):
    """A clock that shows what it is set to."""

    at = 0

    def _now(self) -> float:
        return float(self.at)

    def steady(self) -> float:
        """The steady seconds go with it."""
        return float(self.at)


@dataclass
class Farm:
    """A farm lived through, and its outbox, whose one channel is down until it is mended."""

    people: str = PEOPLE
    life: Life = field(init=False)
    clock: At = field(default_factory=At)

    def __post_init__(self) -> None:
        setup = setup_of(FAILURES, (FEED,), people=self.people)
        self.life = Life(setup)
        self.outbox = Outbox(self.life.engine, self.clock, {"phone": DEAD}, lambda *_: "", lambda _: None)

    def fails(self, when: str, cow: str) -> None:
        """A milking of a cow fails and is told of."""
        self.life.at(when, batch(f"cow  start  box  outcome\n{cow}  {when}  1  failed", file=f"{cow}_{when}.csv"))

    def tries(self, when: str) -> int:
        """Send what is due then, and take what became of it; how many messages that were."""
        self.clock.at = max(moment(when), self.clock.at)
        count, _ = self.outbox.drain(20)
        self.clock.at += 1
        self.life.at(max(self.clock.at, (last_tick(self.life.store) or 0) + 1))
        return count

    def down_until(self, begin: str, end: str) -> None:
        """Every quarter of an hour everything due is tried in vain."""
        for at in range(moment(begin), moment(end) + 1, 900):
            self.clock.at = max(at, self.clock.at)
            self.outbox.drain(20)
        self.life.at(max(self.clock.at, (last_tick(self.life.store) or 0) + 1))

    def works(self, phone: Phone) -> None:
        """From now on the channel leads to a phone."""
        self.outbox.use({"phone": phone.url})

    def outcomes(self) -> list[str]:
        """The kinds of the notices and what became of them."""
        rows = fetch(
            self.life.store,
            "select n.kind, d.outcome from deliveries d join notices n on n.id = d.notice order by n.id",
        )
        return [f"{row['kind']} {row['outcome']}" for row in rows]


def test_what_still_stands_unanswered_is_told_when_the_channel_works_again() -> None:
    """Of three alerts given up one was answered and one is over; the third is told, alone, and once."""
    farm = Farm()
    for minute, cow in ((0, "7"), (1, "8"), (2, "9")):
        farm.fails(f"06:0{minute}", cow)
    farm.down_until("06:03", "08:15")
    assert farm.outcomes().count("alert gave_up") == 3
    assert farm.outcomes().count("still waiting") == 1
    [first, second, _] = all_alerts(farm.life.store)
    farm.life.at("08:30", answers=(Answer(first.id, moment("08:29"), "Marit", "seen"),))
    farm.life.at("08:31", batch("cow  start  box  outcome  deleted\n8  06:01  1  failed  yes", file="mended.csv"))
    assert not alert_with(farm.life.store, second.id).standing

    farm.down_until("08:45", "10:45")
    with Phone() as phone:
        farm.works(phone)
        farm.tries("11:05")
        farm.tries("11:30")
        farm.tries("13:00")

    assert [message.title for message in phone.messages] == ["Still: Cow 9: 1 failure"]
    assert "Notices since 06:02 did not arrive here." in phone.messages[0].body
    assert "Cow 7" not in phone.messages[0].body and "Cow 8" not in phone.messages[0].body
    assert "still waiting" not in farm.outcomes()
    assert farm.outcomes().count("still delivered") == 1
    told = [one.entry.body for one in log_entries(farm.life.store, kind="notice") if one.entry.body["kind"] == "still"]
    assert [body["title"] for body in told] == ["Still: Cow 9: 1 failure"]
    farm.life.store.verify()


def test_nothing_is_told_by_a_channel_that_owes_nothing() -> None:
    """Everything was answered while it was down: the line goes, and the phone stays quiet, also of what is over."""
    farm = Farm()
    farm.fails("06:00", "7")
    farm.fails("06:01", "8")
    farm.down_until("06:03", "08:15")
    [first, _] = all_alerts(farm.life.store)
    farm.life.at("08:30", answers=(Answer(first.id, moment("08:29"), "Marit", "seen"),))
    farm.life.at("08:31", batch("cow  start  box  outcome  deleted\n8  06:01  1  failed  yes", file="mended.csv"))

    with Phone() as phone:
        farm.works(phone)
        farm.tries("08:40")
        farm.tries("09:00")

    assert phone.messages == []
    assert farm.outcomes() == ["alert gave_up", "alert gave_up"]


def test_a_new_notice_that_arrives_brings_what_is_owed_with_it_at_once() -> None:
    """A channel that has just delivered is not left for a quarter of an hour; nothing comes twice."""
    farm = Farm()
    farm.fails("06:00", "7")
    farm.down_until("06:03", "08:15")

    with Phone() as phone:
        farm.works(phone)
        farm.fails("08:16", "8")
        farm.tries("08:17")
        farm.tries("08:18")
        farm.tries("08:19")
        farm.tries("08:40")

    assert sorted(message.title for message in phone.messages) == ["Cow 8: 1 failure", "Still: Cow 7: 1 failure"]


def test_several_come_in_one_notice() -> None:
    """A night's alerts are one ring, each on a line of its own."""
    farm = Farm()
    for n in range(5):
        farm.fails(f"06:0{n}", str(20 + n))
    farm.down_until("06:10", "09:00")

    with Phone() as phone:
        farm.works(phone)
        farm.tries("09:20")

    assert [message.title for message in phone.messages] == ["5 alerts still open"]
    assert [line for line in phone.messages[0].body.split("\n") if line.startswith("- ")] == [
        f"- Cow {20 + n}: 1 failure, since 06:0{n}" for n in range(5)
    ]


def test_outside_a_persons_hours_it_waits_for_them() -> None:
    """The channel works again at night: they are told when they may be reached."""
    farm = Farm(PEOPLE + '  hours: "05:00-09:00"\n')
    farm.fails("06:00", "7")
    farm.down_until("06:03", "09:00")

    with Phone() as phone:
        farm.works(phone)
        farm.tries("09:30")
        assert phone.messages == []
        farm.tries("1d05:00")

    assert [message.title for message in phone.messages] == ["Still: Cow 7: 1 failure"]


def test_a_channel_that_comes_back_sooner_does_not_ring_for_what_is_settled_by_then() -> None:
    """Down for less than it is tried: of three alerts one was answered and one is over; neither rings, nor its end."""
    farm = Farm()
    for minute, cow in ((0, "7"), (1, "8"), (2, "9")):
        farm.fails(f"06:0{minute}", cow)
    farm.down_until("06:03", "06:40")
    [first, second, third] = all_alerts(farm.life.store)
    farm.life.at("06:45", answers=(Answer(first.id, moment("06:44"), "Marit", "seen"),))
    farm.life.at("06:46", batch("cow  start  box  outcome  deleted\n8  06:01  1  failed  yes", file="mended.csv"))
    assert not alert_with(farm.life.store, second.id).standing

    with Phone() as phone:
        farm.works(phone)
        farm.tries("07:20")
        farm.tries("08:40")
        farm.tries("11:00")

    assert [message.title for message in phone.messages] == [third.text]
    assert not [one for one in farm.outcomes() if "waiting" in one]


def test_a_notice_that_is_only_a_little_late_is_sent_whatever_became_of_it() -> None:
    """Within ten minutes nothing is held back: what was told of and what has ended are news together."""
    farm = Farm()
    farm.fails("06:00", "7")
    farm.down_until("06:01", "06:01")
    farm.life.at("06:05", batch("cow  start  box  outcome  deleted\n7  06:00  1  failed  yes", file="mended.csv"))
    with Phone() as phone:
        farm.works(phone)
        farm.tries("06:06")

    assert [message.title for message in phone.messages] == ["Cow 7: 1 failure", "Over: Cow 7: 1 failure"]
