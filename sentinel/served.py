"""The page beside the service: what it may show of the farm, who may open it, and the links that lead to it."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import suppress
from urllib.parse import urlsplit

from sentinel.edges.clock import Clock
from sentinel.edges.guests import Guests, PageLink
from sentinel.edges.page import Access, Look, Page, Unkept, make_app, sign_entry, sign_link
from sentinel.edges.photos import NoPicture, Photos
from sentinel.edges.reasons import with_reasons
from sentinel.edges.settings import page_key
from sentinel.flow.chain import Logged
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.farm import Farm
from sentinel.flow.model import DAY_S, Alert, Answer, Chore, Entry
from sentinel.flow.tables import Tables
from sentinel.service import Farmyard, Service

JUST_ENDED_S = DAY_S
"""Alerts that ended so lately are looked at with those that stand: a round's list shows them as done."""

PATIENCE_S = 5.0
"""So long somebody with a phone in their hand waits for another process that writes, before they hear that it is so."""


class FarmShown:
    """What the page may ask of a running service."""

    def __init__(self, service: Service, clock: Clock) -> None:
        self._service = service
        self._store = service.store
        self._clock = clock
        self._guests = Guests(service.store)
        self._photos = Photos(service.yard.folder)

    def farm(self) -> Farm:
        """The farm's settings as they are now."""
        return self._service.yard.setup.farm

    def health(self) -> dict[str, object]:
        """Whether sentinel itself is at work, in a few plain values."""
        told = self._service.watchman.health()
        if self._store.whole.found:
            return {**told, "ok": False, "troubles": [*told["troubles"], "store-damaged"]}
        return told

    def troubles(self) -> list[str]:
        """What is the matter with sentinel itself now."""
        return self._service.outbox.troubles.sentences()

    def look(self) -> Look:
        """The farm as it is known now."""
        setup, at = self._service.yard.setup, self._clock.now()
        alerts = self._store.alerts("over_at is null or over_at >= ?", (at - JUST_ENDED_S,))
        people = tuple(person.name for person in setup.people)
        tables = self._service.engine.tables or Tables()
        return Look(at, setup.farm, people, setup.rules, tables, tuple(alerts))

    def alert(self, alert: int) -> Alert | None:
        """The alert with this number, standing or over."""
        found = self._store.alerts("id = ?", (alert,))
        return found[0] if found else None

    def alerts_of(self, *subjects: str) -> tuple[Alert, ...]:
        """Every alert, standing or over, on these subjects; on all if none is named."""
        marks = ", ".join("?" * len(subjects))
        return tuple(self._store.alerts(f"subject in ({marks})" if subjects else "1", subjects))

    def log(self, alert: int | None = None, kind: str = "", since: int = 0) -> list[Logged]:
        """The log in order: of one alert, of one kind, or all, from a moment on."""
        wanted = [("alert = ?", alert), ("kind = ?", kind or None), ("at >= ?", since or None)]
        asked = [(sql, value) for sql, value in wanted if value is not None]
        found = self._store.log(" and ".join(sql for sql, _ in asked) or "1", [value for _, value in asked])
        return with_reasons(self._store, found)

    def set_aside(self) -> list[Mapping[str, object]]:
        """The rows set aside: feed, file, at, line, row, reason."""
        return list(self._store.set_aside())

    def access(self, person: str, link: int, begun: int) -> Access | None:
        """What a session may do: nothing once its link was withdrawn, its time is over, or the person is not listed."""
        listed = any(one.name == person for one in self._service.yard.setup.people)
        if not link:
            shut = self._guests.shut_until(person)
            opens = (
                shut is None or shut < begun <= self._clock.now() + AHEAD_S
            )  # a clock once ahead opens nothing again
            return Access() if listed and opens else None
        own = self._guests.link(link)
        if own is None or own.person != person or not own.opens(self._clock.now()):
            return None
        return Access(own.read_only, own.until) if listed or own.read_only else None

    def entered(self, link: int) -> None:
        """Somebody came in by their own link."""
        with suppress(sqlite3.OperationalError), self._store.writing(PATIENCE_S):  # they come in all the same
            self._guests.used(link, self._clock.now())

    def said_of(self, number: str) -> str | None:
        """What was said to what a phone sent under this number; None if nothing arrived under it."""
        return self._guests.said_of(number)

    def photo(self, name: str) -> bytes | None:
        """The photo of that name, as JPEG; None if there is none."""
        return self._photos.get(name)

    def put_photo(self, alert: Alert, person: str, content: bytes, number: str, at: int, said: str) -> Unkept | None:
        """Keep a photo taken at `at` with its alert and say so in the log, each number once; or say why not."""
        name = self._photos.put(content)
        if isinstance(name, NoPicture):
            return Unkept(name.most_pixels)
        now, body = self._clock.now(), {"file": name, "taken_at": at}
        with self._store.writing(PATIENCE_S):
            if self._guests.said_of(number) is None:
                self._guests.put_sent(number, person, at, now, f"photo of alert {alert.id}", said)
                self._store.append([Entry(now, "photo", alert.id, alert.rule, alert.subject, person, body)])
        return None

    def take(self, number: str, deed: Answer | Chore, said: str) -> str | None:
        """Leave an answer or a chore for the service's next look, which is at once; each number once."""
        with self._store.writing(PATIENCE_S):
            before = self._guests.said_of(number)
            if before is not None:
                return before
            what = f"alert {deed.alert}" if isinstance(deed, Answer) else f"{deed.chore} {deed.place}".strip()
            self._guests.put_sent(number, deed.person, deed.at, self._clock.now(), what, said)
            if isinstance(deed, Answer):
                self._store.put_answer(deed)
            else:
                self._store.put_chore(deed)
        self._service.wake()
        return None


def base_url(yard: Farmyard, port: int | None = None) -> str:
    """The address by which phones reach the page: the one stated in farm.yaml, else this machine's own."""
    plan = yard.setup.farm.page
    return plan.address.rstrip("/") or f"http://{plan.host}:{port or plan.port}"


def opens_on_phones(farm: Farm) -> bool:
    """Whether the links in notices name an address that is not this machine's own name for itself."""
    host = (urlsplit(farm.page.address).hostname or "") if farm.page.address else ""
    return bool(host) and host not in ("localhost", "::1", "0.0.0.0", "::") and not host.startswith("127.")


def link_maker(yard: Farmyard, port: int | None = None) -> Callable[[int, str, int], str]:
    """Makes the signed link of one alert for one person, valid from the moment its notice was written."""
    key = page_key(yard.folder)
    base = base_url(yard, port)
    return lambda alert, person, at: sign_link(base, key, alert, person, at)


def own_link(yard: Farmyard, link: PageLink, port: int | None = None) -> str:
    """The address of a person's own link."""
    return sign_entry(base_url(yard, port), page_key(yard.folder), link.id, link.person)


def serve(service: Service, clock: Clock) -> Page:
    """Start the page beside the service; stop it with `stop`."""
    plan = service.yard.setup.farm.page
    secure = plan.address.lower().startswith("https:")
    page = Page(
        make_app(FarmShown(service, clock), page_key(service.yard.folder), clock.now, secure), plan.host, plan.port
    )
    page.start()
    return page
