"""Tells people that the store is damaged and the watch has ended: from memory, as the store cannot be trusted.

Neither the outbox nor the log is used, and only the settings last read. A service that is started again and again by
the computer says so again only after hours.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sentinel.edges.clock import Clock
from sentinel.edges.locales import words_of
from sentinel.edges.notifier import Message, Notifier
from sentinel.edges.settings import Secrets
from sentinel.errors import DamagedError
from sentinel.flow.notices.ended import ended
from sentinel.flow.settings.people import Person
from sentinel.flow.setup import Setup

TOLD_NAME = "damage-told"
"""The file in the farm folder whose time says when people were told last."""

AGAIN_S = 6 * 3600
"""Told again after so long, if somebody starts the service again and the store is still damaged."""

WAIT_S = 30.0
"""How long the channels are waited for, all together, before the process ends."""

log = logging.getLogger("sentinel")


@contextmanager
def damage_told(folder: Path, settings: Callable[[], tuple[Setup, Secrets]]) -> Iterator[None]:
    """Whatever ends in damage is told to people by their channels before it ends; `settings` are those in use then."""
    try:
        yield
    except DamagedError as error:
        if not error.is_told:
            error.is_told = True
            tell(folder, *settings(), Clock())
        raise


def tell(folder: Path, setup: Setup, secrets: Secrets, clock: Clock) -> None:
    """Tell everybody who takes what cannot wait at this hour (nobody does: everybody), unless they were told lately."""
    at, beside = clock.now(), folder / TOLD_NAME
    with suppress(OSError):
        if abs(clock.stamps() - beside.stat().st_mtime) < AGAIN_S:
            log.error("people were told %.1f h ago", abs(clock.stamps() - beside.stat().st_mtime) / 3600)
            return
    try:
        beside.write_text("People were told that the store is damaged.\n", encoding="utf-8")
    except OSError as error:  # without it each of many starts would ring
        log.error("that people are told cannot be noted (%s), so nobody is", error)
        return
    title, body = ended(setup.farm.name, at, words_of(setup.farm))
    messages = [
        Message("damage", channel, person.name, title, body, "now")
        for person in _reached(setup.people, at, setup.farm.zone)
        for channel in dict.fromkeys(person.channels)
    ]
    notifier = Notifier(secrets.urls, timeout_s=WAIT_S / 3)
    notifier.send_all(messages, lambda one: log.error("told by %s: %s: %s", one.channel, one.state, one.detail))
    notifier.finish(WAIT_S)
    notifier.close()


def forget(folder: Path) -> None:
    """The store is whole: damage to come is told at once."""
    with suppress(OSError):
        (folder / TOLD_NAME).unlink(missing_ok=True)


def _reached(people: tuple[Person, ...], at: int, zone: str) -> list[Person]:
    """Those who take what cannot wait at this hour; everybody if there is nobody."""
    return [person for person in people if person.now.cover(at, zone)] or list(people)
