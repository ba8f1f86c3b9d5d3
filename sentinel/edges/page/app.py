"""The answer page itself: an alert, what to look at first, and one tap for what was found.

Looking changes nothing, so that a chat app that previews the link does not answer for anybody; only the form
does. There is no script, and nothing is asked of any other host.
"""

from __future__ import annotations

import hashlib
import threading
from base64 import b64encode
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import parse_qs, urlsplit

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route

from sentinel.edges.page.links import PATH, Link, read_link
from sentinel.flow.model import Alert

TEMPLATES = Path(__file__).parent / "templates"
STYLE = (TEMPLATES / "page.css").read_text(encoding="utf-8")
LOOK_FIRST_MOST = 3
NOTE_LENGTH = 1000
BODY_LENGTH = 16_384
REMEMBERED = 1000

HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": (
        f"default-src 'none'; style-src 'sha256-{b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()}'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "X-Robots-Tag": "noindex, nofollow",
}
"""Sent with every answer of the page, errors included."""


class Shown(Protocol):
    """What the page shows and where an answer goes; its functions are called from several threads."""

    def alert(self, alert: int) -> Alert | None:
        """The alert with this number, standing or over."""

    def findings(self, rule: str) -> tuple[str, ...]:
        """What a person may answer to an alert of this rule."""

    def answer(self, alert: int, person: str, finding: str, note: str) -> str:
        """Take an answer and give the sentence to show; an empty finding is "seen"."""

    def time(self, at: int) -> str:
        """A moment on the farm's clock."""


@dataclass(slots=True)
class _Desk:
    """One app's parts. `taken` remembers the newest answers until the service has put them on their alerts."""

    shown: Shown
    secret_key: str
    now: Callable[[], int]
    templates: Environment
    taken: OrderedDict[tuple[Any, ...], None] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def say(self, title: str, *lines: str, status: int = 200) -> Response:
        """A page that only says something."""
        return self.page("say.html", status, title=title, lines=lines)

    def page(self, template: str, status: int = 200, **values: Any) -> Response:
        """One template filled in, with the headers of every page."""
        text = self.templates.get_template(template).render(style=Markup(STYLE), **values)
        return HTMLResponse(text, status, HEADERS)


def make_app(shown: Shown, secret_key: str, now: Callable[[], int]) -> Starlette:
    """The answer page as an ASGI app; `now` gives UTC seconds, to tell when a link has expired."""
    templates = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    desk = _Desk(shown, secret_key, now, templates)

    def show(request: Request) -> Response:
        alert, link = _opened(desk, request)
        return _alert_page(desk, alert, link)

    async def take(request: Request) -> Response:
        if _from_elsewhere(request):
            raise HTTPException(403)
        form = _form(await _body(request))
        finding, note = form.get("finding", ""), " ".join(form.get("note", "").split())[:NOTE_LENGTH]
        return await run_in_threadpool(_take, desk, request, finding, note)

    def failed(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        title, *lines = SAID.get(status, SAID[500])
        return desk.say(title, *lines, status=status)

    app = Starlette(
        routes=[
            Route("/health", lambda request: PlainTextResponse("ok", headers=HEADERS), methods=["GET"]),
            Route(PATH + "{token}", show, methods=["GET"]),
            Route(PATH + "{token}", take, methods=["POST"]),
        ],
        exception_handlers={HTTPException: failed, Exception: failed},
    )
    app.router.redirect_slashes = False
    return app


SAID = {
    403: ("This answer was not taken", "It was sent from another page. Open the link in the notice and answer there."),
    404: (
        "This link does not open anything",
        "It may have been cut short when it was copied. Open it again from the notice on your phone.",
        'On the farm\'s computer, "sentinel alerts" shows everything that stands.',
    ),
    405: ("This page cannot do that", "Open the link in the notice and answer there."),
    410: (
        "This link is too old",
        "A link can be used for 14 days. Use the one in a newer notice.",
        'On the farm\'s computer, "sentinel alerts" shows everything that stands.',
    ),
    413: ("This answer was not taken", "It is too long. Go back and write a shorter note."),
    400: ("This answer was not taken", "It could not be read. Open the link in the notice and tap one of the answers."),
    500: (
        "Something went wrong here",
        "Your answer may not have been taken. Open the link in the notice again to see.",
    ),
}
"""What a page without an alert says, by HTTP status."""


def _opened(desk: _Desk, request: Request) -> tuple[Alert, Link]:
    """The alert that a request's link opens."""
    link = read_link(request.path_params["token"], desk.secret_key)
    if link is None:
        raise HTTPException(404)
    if link.expired(desk.now()):
        raise HTTPException(410)
    alert = desk.shown.alert(link.alert)
    if alert is None:
        raise HTTPException(404)
    return alert, link


def _take(desk: _Desk, request: Request, finding: str, note: str) -> Response:
    """Record an answer once, and show the alert with what was said of it."""
    alert, link = _opened(desk, request)
    if finding and finding not in desk.shown.findings(alert.rule):
        raise HTTPException(400)
    same = (alert.answered_by, alert.finding, alert.note) == (link.person, finding, note)
    key = (alert.id, alert.again, alert.urgency, link.person, finding, note)
    with desk.lock:
        if (alert.answered and same) or key in desk.taken:
            return _alert_page(desk, alert, link, said="This was already noted.")
        desk.taken[key] = None
        if len(desk.taken) > REMEMBERED:
            desk.taken.popitem(last=False)
    try:
        said = desk.shown.answer(alert.id, link.person, finding, note)
    except Exception:
        desk.taken.pop(key, None)
        raise
    return _alert_page(desk, desk.shown.alert(alert.id) or alert, link, said=said)


def _alert_page(desk: _Desk, alert: Alert, link: Link, said: str = "") -> Response:
    """The page of one alert for one person."""
    shown = desk.shown
    return desk.page(
        "alert.html",
        alert=alert,
        person=link.person,
        said=said,
        since=shown.time(alert.since),
        over=shown.time(alert.over_at) if alert.over_at is not None else "",
        answered=shown.time(alert.answered_at) if alert.answered_at is not None else "",
        look_first=alert.look_first[:LOOK_FIRST_MOST],
        findings=shown.findings(alert.rule),
        note_length=NOTE_LENGTH,
    )


def _from_elsewhere(request: Request) -> bool:
    """Whether a browser says that a form was sent from a page of another host.

    Browsers send Sec-Fetch-Site over https and to this machine; over plain http they send only Origin, which is
    `null` under our own Referrer-Policy. What guards an answer in that case is the signed link itself: there is
    no cookie or login that another page could borrow.
    """
    site = request.headers.get("sec-fetch-site")
    if site is not None:
        return site not in ("same-origin", "none")
    origin = request.headers.get("origin", "null")
    return origin != "null" and urlsplit(origin).netloc != request.headers.get("host")


async def _body(request: Request) -> bytes:
    """The form's bytes, refused when they are longer than any answer."""
    body = b""
    try:
        async for chunk in request.stream():
            body += chunk
            if len(body) > BODY_LENGTH:
                raise HTTPException(413)
    except ClientDisconnect as gone:
        raise HTTPException(400) from gone
    return body


def _form(body: bytes) -> dict[str, str]:
    """The fields of a form, the first of each name."""
    try:
        fields = parse_qs(body.decode("utf-8"), keep_blank_values=True, max_num_fields=10)
    except ValueError as error:
        raise HTTPException(400) from error
    return {name: values[0] for name, values in fields.items()}
