"""The page beside the service: started and stopped with it, and the links that lead to it."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlsplit

from sentinel.edges.clock import Clock
from sentinel.edges.settings import page_key
from sentinel.edges.store.access import PageLink
from sentinel.edges.web.app import make_app
from sentinel.edges.web.auth.links import sign_entry, sign_link
from sentinel.edges.web.server import WebServer
from sentinel.flow.settings.farm import Farm
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service


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


def serve(service: Service, clock: Clock) -> WebServer:
    """Start the page beside the service; stop it with `stop`."""
    plan = service.yard.setup.farm.page
    secure = plan.address.lower().startswith("https:")
    page = WebServer(
        make_app(FarmReader(service, clock), page_key(service.yard.folder), clock.now, secure), plan.host, plan.port
    )
    page.start()
    return page
