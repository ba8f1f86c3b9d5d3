"""The page as an ASGI app: the screens of the registry, what people send, and what is the same for everybody.

Looking changes nothing, so that a chat app that previews a link does not answer for anybody; only forms do.
Everything works without script; nothing is asked of any other host. Without a session only a person's own link, a
notice's link, the phone's manifest and the files that are the same for everybody open.
"""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from sentinel.edges.web import assets, refusals
from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.farm_reader import FarmReader
from sentinel.edges.web.forms import answers, kept, photos, sessions, tuning
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.screen import Screen
from sentinel.edges.web.screens import SCREENS
from sentinel.edges.web.site import Site


def make_app(reader: FarmReader, secret_key: str, now: Callable[[], int], secure: bool = False) -> Starlette:
    """The page; `now` gives UTC seconds; `secure`: phones reach it by https, so its cookie goes by nothing else."""
    site = Site(reader, secret_key, now, secure, SCREENS)

    def health(request: Request) -> Response:
        state = reader.health()
        return JSONResponse(dict(state), 200 if state["ok"] else 503, HEADERS)

    app = Starlette(
        routes=[
            Route("/health", health, methods=["GET"]),
            *assets.routes(site),
            *(_route(site, screen) for screen in SCREENS),
            *sessions.routes(site),
            *answers.routes(site),
            *photos.routes(site),
            *kept.routes(site),
            *tuning.routes(site),
        ],
        exception_handlers=refusals.handlers(site),
    )
    app.router.redirect_slashes = False
    return app


def _route(site: Site, screen: Screen) -> Route:
    """Where a screen opens, to whom it may be shown."""

    def show(request: Request) -> Response:
        return screen.handler(RequestContext(site, request, screen.admits(site, request), screen))

    return Route(screen.address, show, methods=["GET"])
