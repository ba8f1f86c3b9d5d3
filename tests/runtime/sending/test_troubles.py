"""Sentinel's own troubles: told once by a channel that works, ended once, whatever the store does."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from whole.whole_farm import LATE_COW, setup_of

from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.notifier import Notifier
from sentinel.flow.model import DAY_S
from sentinel.runtime.sending.troubles import AGAIN_S, ENDED_S, LASTS_S, Troubles

KEEPER = """\
- person: Marit
  channels: [marit]
- person: Ilse
  channels: [ilse-mail, ilse-phone]
  computer: yes
"""
DEAD = "json://127.0.0.1:1/"


class Hands(Clock):
    """A clock whose hands are moved by hand, the steady seconds with them."""

    at = 1_777_881_600

    def _now(self) -> float:
        return float(self.at)

    def steady(self) -> float:
        return float(self.at)


class Case:
    """Troubles with a notifier of their own, tried again after so many seconds."""

    def __init__(self, urls: Mapping[str, str], people: str = KEEPER, before: Iterable[Mapping[str, Any]] = ()) -> None:
        self.clock = Hands()
        self.notifier = Notifier(urls)
        setup = setup_of(LATE_COW, people=people)
        self.troubles = Troubles(lambda: setup, lambda: self.notifier, self.clock, before)

    def after(self, seconds: float = 0, rounds: int = 4) -> None:
        """So many seconds later everything due is sent, by one channel after the other."""
        self.clock.at += int(seconds)
        for _ in range(rounds):
            self.troubles.send_due()
            self.notifier.finish(20)


def test_it_is_told_once_to_whoever_looks_after_the_computer_and_its_end_as_well() -> None:
    """A look that fails is said again and again; the person hears of it once, and once that it is over."""
    with Phone() as phone:
        case = Case({"marit": phone.url_for("marit"), "ilse-mail": DEAD, "ilse-phone": phone.url_for("ilse")})
        for _ in range(5):
            case.troubles.begin("looks", why="OSError: gone")
            case.after(LASTS_S["looks"])
        case.troubles.end("looks")
        case.after(ENDED_S)
        case.after(7200)

    assert [(one.to, one.title) for one in phone.messages] == [
        ("ilse", "Sentinel cannot look at the exports"),
        ("ilse", "Over: Sentinel cannot look at the exports"),
    ]
    assert "It said: OSError: gone" in phone.messages[0].body
    assert case.troubles.now() == ()


def test_when_none_of_their_channels_works_another_person_is_told() -> None:
    """By a channel that works, whoever's it is."""
    with Phone() as phone:
        case = Case({"marit": phone.url_for("marit"), "ilse-mail": DEAD, "ilse-phone": DEAD})
        case.troubles.begin("disk-full")
        case.after(LASTS_S["disk-full"])

    assert [one.to for one in phone.messages] == ["marit"]


def test_when_no_channel_works_it_is_tried_again_until_one_does() -> None:
    """Nobody is told while nothing works; then they are, once."""
    urls = {"marit": DEAD, "ilse-mail": DEAD, "ilse-phone": DEAD}
    case = Case(urls)
    case.troubles.begin("disk-full")
    case.after(LASTS_S["disk-full"])
    with Phone() as phone:
        case.notifier = Notifier({**urls, "ilse-phone": phone.url_for("ilse")})
        case.after(60)
        case.after(600)

    assert [one.to for one in phone.messages] == ["ilse"]


def test_the_first_of_the_list_is_told_where_nobody_looks_after_the_computer() -> None:
    """`computer` has a default."""
    with Phone() as phone:
        people = "- person: Marit\n  channels: [marit]\n- person: Onno\n  channels: [onno]\n"
        case = Case({"marit": phone.url_for("marit"), "onno": phone.url_for("onno")}, people)
        case.troubles.begin("disk-full")
        case.after(LASTS_S["disk-full"])

    assert [one.to for one in phone.messages] == ["marit"]


def test_what_comes_and_goes_is_one_trouble_in_an_hour() -> None:
    """A disk that is full, has room and is full again rings twice in an hour at most: full, and over."""
    with Phone() as phone:
        case = Case({"marit": phone.url, "ilse-mail": phone.url, "ilse-phone": phone.url})
        for _ in range(10):
            case.troubles.begin("disk-full")
            case.after(LASTS_S["disk-full"])
            case.troubles.end("disk-full")
            case.after(ENDED_S)
        assert len(phone.messages) == 2
        case.troubles.begin("disk-full")
        case.after(AGAIN_S)

    assert len(phone.messages) == 3


def test_what_failed_once_and_is_over_is_not_told() -> None:
    """One failing look is no news."""
    with Phone() as phone:
        case = Case({"marit": phone.url, "ilse-mail": phone.url, "ilse-phone": phone.url})
        case.troubles.begin("looks", why="once")
        case.after(5)
        case.troubles.end("looks")
        case.after(ENDED_S)
        case.after(600)

    assert phone.messages == []


def test_a_restart_does_not_tell_it_again_and_tells_its_end() -> None:
    """A service that is started again and again on a full disk rings once, and once when there is room."""
    with Phone() as phone:
        urls = {"marit": phone.url, "ilse-mail": phone.url, "ilse-phone": phone.url}
        case = Case(urls)
        case.troubles.begin("disk-full", why="no room")
        case.after(LASTS_S["disk-full"])
        for _ in range(3):
            before = json.loads(json.dumps(case.troubles.told_lately()))
            case = Case(urls, before=before)
            case.troubles.begin("disk-full", why="no room")
            case.after(60)
        assert case.troubles.sentences() == ["The disk of the farm's computer is full"]
        case = Case(urls, before=case.troubles.told_lately())
        case.after(ENDED_S)

    assert [one.title for one in phone.messages] == [
        "The disk of the farm's computer is full",
        "Over: The disk of the farm's computer is full",
    ]


def test_it_is_told_in_the_hours_of_somebody() -> None:
    """Whoever may not be reached now is left out, and another hears of it."""
    with Phone() as phone:
        people = KEEPER.replace("  computer: yes\n", "  computer: yes\n  hours: never\n")
        case = Case({"marit": phone.url_for("marit"), "ilse-mail": phone.url, "ilse-phone": phone.url}, people)
        case.troubles.begin("store", why="readonly")
        case.after(LASTS_S["store"])

    assert [one.to for one in phone.messages] == ["marit"]


def test_of_many_exports_that_fail_one_is_told_and_shown_for_a_day() -> None:
    """A hundred in a night are one ring; each of them stands in the round's list anyway."""
    with Phone() as phone:
        case = Case({"marit": phone.url, "ilse-mail": phone.url, "ilse-phone": phone.url})
        for n in range(100):
            case.troubles.begin("file", file=f"milkings_{n}.csv", why="RecursionError")
        case.after(0)
        shown = case.troubles.sentences()
        case.after(DAY_S + 1)
        case.after(ENDED_S)

    assert shown == ["The export milkings_0.csv cannot be processed"]
    assert [message.title for message in phone.messages] == shown
    assert case.troubles.now() == ()
