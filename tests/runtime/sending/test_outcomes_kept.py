"""What became of a notice is remembered in memory while the store takes nothing."""

from __future__ import annotations

from runtime.sending.test_recovery import Farm
from text_tables import moment

from sentinel.demo.phone import Phone
from sentinel.edges.store.database import fetch


def may_write(farm: Farm, may: bool) -> None:
    """Let the store take something, or nothing (as on a full disk: it is read as always, every write fails)."""
    farm.life.store.conn.execute(f"pragma query_only = {int(not may)}")


def sent(farm: Farm, when: str, seconds: int = 0) -> int:
    """Send what is due then, without telling the farm; how many messages that were."""
    farm.clock.at = moment(when) + seconds
    farm.outbox.outcomes.write()
    return farm.outbox.drain(20)[0]


def test_a_notice_that_was_delivered_and_not_noted_is_not_sent_again() -> None:
    """However often the outbox looks; once the store takes something it is noted, with the moment it arrived."""
    farm = Farm()
    farm.fails("06:00", "7")
    with Phone() as phone:
        farm.works(phone)
        may_write(farm, False)
        tried = [sent(farm, "06:01", second) for second in range(30)]
        kept = len(farm.outbox.outcomes), farm.outbox.outcomes.problem is not None
        may_write(farm, True)
        tried.append(sent(farm, "06:03"))

    assert tried == [1, *[0] * 30]
    assert [message.title for message in phone.messages] == ["Cow 7: 1 failure"]
    assert kept == (1, True)
    assert farm.outcomes() == ["alert delivered"]
    [row] = fetch(farm.life.store, "select at, attempts from deliveries")
    assert (row["at"], row["attempts"]) == (moment("06:01"), 1)
    assert len(farm.outbox.outcomes) == 0 and farm.outbox.outcomes.problem is None


def test_tries_that_failed_and_were_not_noted_go_on_ever_less_often() -> None:
    """As if the store had kept them: after 5, 15 and 60 seconds; all of them are noted in the end."""
    farm = Farm()
    farm.fails("06:00", "7")
    may_write(farm, False)
    tried = [second for second in range(100) if sent(farm, "06:01", second)]
    may_write(farm, True)
    sent(farm, "06:03")

    assert tried == [0, 5, 20, 80]
    [row] = fetch(farm.life.store, "select outcome, attempts, next_at from deliveries")
    assert tuple(row) == ("waiting", 4, moment("06:01") + 80 + 300)


def test_a_store_that_takes_nothing_is_asked_ever_less_often() -> None:
    """Not with every look at the outbox; within ten seconds of there being room it is used."""
    farm = Farm()
    farm.fails("06:00", "7")
    asked = []
    farm.life.store.conn.set_trace_callback(lambda said: asked.append(said) if said.startswith("begin") else None)
    may_write(farm, False)
    with Phone() as phone:
        farm.works(phone)
        for second in range(60):
            sent(farm, "06:01", second)

    assert 5 <= len(asked) <= 12


def test_a_channel_that_was_given_up_while_nothing_could_be_noted_owes_what_stands() -> None:
    """Given up in memory, noted later, and told when the channel works."""
    farm = Farm()
    farm.fails("06:00", "7")
    may_write(farm, False)
    for minutes in range(0, 140, 5):
        sent(farm, "06:01", 60 * minutes)
    may_write(farm, True)
    sent(farm, "08:30")
    gave_up = farm.outcomes()
    with Phone() as phone:
        farm.works(phone)
        sent(farm, "09:00")

    assert gave_up == ["alert gave_up", "still waiting"]
    assert [message.title for message in phone.messages] == ["Still: Cow 7: 1 failure"]
