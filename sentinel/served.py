"""The page beside the service: what it may show of the farm, and how a notice's link leads to it."""

from __future__ import annotations

from collections.abc import Callable

from sentinel.edges.clock import Clock
from sentinel.edges.page import Page, make_app, sign_link
from sentinel.edges.settings import page_key
from sentinel.flow.model import Alert, Answer
from sentinel.flow.notices import shown_time
from sentinel.service import Farmyard, Service


class FarmShown:
    """What the page may ask of a running service."""

    def __init__(self, service: Service, clock: Clock) -> None:
        self._service = service
        self._clock = clock

    def alert(self, alert: int) -> Alert | None:
        """The alert with this number, standing or over."""
        found = self._service.store.alerts("id = ?", (alert,))
        return found[0] if found else None

    def findings(self, rule: str) -> tuple[str, ...]:
        """What a person may answer to an alert of this rule."""
        known = self._service.yard.setup.rules.get(rule)
        return known.findings if known else ()

    def answer(self, alert: int, person: str, finding: str, note: str) -> str:
        """Leave an answer for the service's next look, which is at once."""
        self._service.store.put_answer(Answer(alert, self._clock.now(), person, finding, note))
        self._service.wake()
        return f"Thank you, {person}. Noted: {finding or 'seen'}."

    def time(self, at: int) -> str:
        """A moment on the farm's clock."""
        return shown_time(at, self._clock.now(), self._service.yard.setup.farm.zone)


def base_url(yard: Farmyard, port: int | None = None) -> str:
    """The address by which phones reach the page: the one stated in farm.yaml, else this machine's own."""
    plan = yard.setup.farm.page
    return plan.address.rstrip("/") or f"http://{plan.host}:{port or plan.port}"


def link_maker(yard: Farmyard, port: int | None = None) -> Callable[[int, str, int], str]:
    """Makes the signed link of one alert for one person, valid from the moment its notice was written."""
    key = page_key(yard.folder)
    base = base_url(yard, port)
    return lambda alert, person, at: sign_link(base, key, alert, person, at)


def serve(service: Service, clock: Clock) -> Page:
    """Start the page beside the service; stop it with `stop`."""
    plan = service.yard.setup.farm.page
    app = make_app(FarmShown(service, clock), page_key(service.yard.folder), clock.now)
    page = Page(app, plan.host, plan.port)
    page.start()
    return page
