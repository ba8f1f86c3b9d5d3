"""The week's notice on the herd in a farm's life: once a week, never twice, never late, and the same told again."""

from __future__ import annotations

from text_tables import moment, moment_text
from whole.whole_farm import LATE_COW, Life, batch, setup_of

from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.store.outbox import all_notices
from sentinel.edges.web.auth.links import THE_HERD
from sentinel.flow.model import Notice, Tick, TickKind
from sentinel.runtime.sending.outbox import Outbox

FARM = "name: Tinfield\nzone: {zone}\nboxes: ['1', '2']\nrounds: ['06:30', '16:30']\n"
PEOPLE = "- person: Anna\n  channels: [phone]\n  herd_week: {when}\n"
"""Day 0 of the text tables is a Monday."""


def farm(when: str = "Monday 07:00", zone: str = "UTC", begin: str = "-1d00:00") -> Life:
    """A farm of one person."""
    return Life(setup_of(LATE_COW, farm=FARM.format(zone=zone), people=PEOPLE.format(when=when)), begin=begin)


def visits(first: int, days: int) -> str:
    """Three cows, milked three times a day at two boxes."""
    rows = [
        f"{cow}  {day}d{hour}:0{cow}  {1 + cow % 2}  {'failed' if (cow, hour) == (3, '13') else 'milked'}  11"
        for day in range(first, first + days)
        for hour in ("05", "13", "21")
        for cow in (1, 2, 3)
    ]
    return "\n".join(["cow  start  box  outcome  milk_kg", *rows])


def weekly(life: Life) -> list[Notice]:
    """The notices on the herd's week so far."""
    return [notice for notice in all_notices(life.store) if notice.kind == "herd-week"]


def test_the_farm_wakes_for_it_and_says_the_week() -> None:
    """At the moment itself, without an export coming just then; with the figures of the week."""
    life = farm(begin="-22d00:00")
    life.at("0d06:10", batch(visits(-22, 22)))
    life.at("0d09:00")
    [*_, last] = weekly(life)

    assert moment_text(last.at) == "07:00"
    assert last.body.splitlines()[:2] == [
        "Cows in milk 3 (3), milkings per cow and day 2.67 (2.67).",
        "Milk per cow and day, kg: 33 (33).",
    ]
    assert last.body.splitlines()[-1] == "In brackets: the two weeks before. Data up to Sun 21:03."


def test_a_restart_at_any_moment_sends_it_once_and_a_farm_that_was_down_sends_none_late() -> None:
    """Killed just before, at, and just after it; and three days down over a second Monday."""
    life = farm()
    for when in ("0d06:59:59", "0d07:00", "0d07:00:01", "0d07:30", "0d08:59"):
        life.restart()
        life.at(when, kind=TickKind.START)
    assert [moment_text(notice.at) for notice in weekly(life)] == ["07:00"]

    life.restart()
    life.due = None
    life.at("9d12:00", kind=TickKind.START)
    life.at("13d23:00")
    assert [moment_text(notice.at) for notice in weekly(life)] == ["07:00"]
    life.at("14d12:00")
    assert [moment_text(notice.at) for notice in weekly(life)][1:] == ["14d07:00"]


def test_half_an_hour_down_it_comes_late_and_two_hours_down_it_does_not() -> None:
    """As a worklist does."""
    for back, sent in (("0d07:30", ["07:30"]), ("0d09:00", ["09:00"]), ("0d09:00:01", [])):
        life = farm()
        life.at("-1d23:00")
        life.restart()
        life.at(back, kind=TickKind.START)
        assert [moment_text(notice.at) for notice in weekly(life)] == sent, back


def test_in_the_nights_in_which_the_clocks_change_it_comes_once_at_its_time() -> None:
    """Sundays 02:30 in Berlin: the hour that is skipped in March, and the one that comes twice in October."""
    spring = farm("Sunday 02:30", "Europe/Berlin", begin="299d00:00")  # 29 March 2025
    spring.at("308d00:00")
    autumn = farm("Sunday 02:30", "Europe/Berlin", begin="145d00:00")  # 26 October 2024
    autumn.at("154d00:00")

    assert [moment_text(notice.at) for notice in weekly(spring)] == ["300d01:30", "307d00:30"]
    assert [moment_text(notice.at) for notice in weekly(autumn)] == ["146d00:30", "153d01:30"]


def test_lived_again_from_the_same_exports_it_says_the_same() -> None:
    """Nothing of it comes from a clock or from what was worked out before."""

    def lived() -> list[Notice]:
        life = farm(begin="-22d00:00")
        for day in range(-22, 8):
            life.at(f"{day}d23:00", batch(visits(day, 1), file=f"milkings_{day + 22}.csv"))
        return weekly(life)

    once, again = lived(), lived()
    assert len(once) == 5
    assert once == again


class Stopped(Clock):
    """A clock that stands at a second after it is due."""

    def _now(self) -> float:
        return float(moment("07:00:01"))


def test_it_reaches_the_phone_with_a_link_to_the_herds_page() -> None:
    """Whose it is and when it was written are in the link, as in an alert's."""

    def link(alert: int, person: str, at: int) -> str:
        return f"http://farm.test/{alert}-{person}-{moment_text(at)}"

    life = farm()
    life.at("0d07:00:01")
    with Phone() as phone:
        outbox = Outbox(life.engine, Stopped(), {"phone": phone.url}, link, lambda _: None)
        outbox.drain(20)
        [message] = phone.messages

    assert (message.title, message.link) == ("The herd's week to Mon 3 Jun", f"http://farm.test/{THE_HERD}-Anna-07:00")


def test_what_fails_in_it_is_said_and_holds_up_nothing() -> None:
    """A store whose results of the laboratory cannot be read."""
    life = farm()
    life.at("0d06:00")
    with life.store.writing() as conn:
        conn.execute("alter table tank rename to gone")
    life.engine.step(Tick(moment("07:00")))

    [notice] = weekly(life)
    assert notice.body.startswith("How the herd is doing could not be worked out: ")
