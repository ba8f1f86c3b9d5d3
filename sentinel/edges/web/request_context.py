"""One page's parts, and who is at the door: what every handler needs before it shows or takes anything."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from sentinel.edges.web.auth.attempts import Attempts
from sentinel.edges.web.auth.guard import HEADERS, address_of, cookie_name, set_cookie
from sentinel.edges.web.auth.links import Link, Session, form_token, read_link, read_session, right_token, sign_session
from sentinel.edges.web.farm_reader import Access, Look, Shown
from sentinel.edges.web.page_language import Words
from sentinel.flow.notices.wording import BOX_CAUTION, course_words, headline
from sentinel.texts import catalogue

HERE = Path(__file__).parent
TEMPLATES = HERE / "templates"
STATIC = HERE / "static"


@lru_cache(maxsize=1)
def version() -> str:
    """A short name for what the static files and templates are now, so that a browser never mixes two versions."""
    told = hashlib.sha256()
    for path in sorted((*STATIC.iterdir(), *TEMPLATES.iterdir())):
        if path.is_file():
            told.update(path.read_bytes())
    return told.hexdigest()[:12]


_UNIT_AFTER_FIGURE = re.compile(r"(?<=\d) (?=(?:%|mm|mS/cm|kg|h|min|°C|k/ml)(?!\w))")


def glued(text: str) -> str:
    """A sentence in which no line ends between a figure and its unit."""
    return _UNIT_AFTER_FIGURE.sub("\N{NO-BREAK SPACE}", text)


@lru_cache(maxsize=4)
def templates(language: str) -> Environment:
    """The templates with the texts of one language."""
    found = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    found.filters["headline"] = headline
    found.filters["glued"] = glued
    found.filters["course"] = course_words
    found.globals["box_caution"] = BOX_CAUTION
    found.install_gettext_translations(catalogue(language), newstyle=True)  # type: ignore[attr-defined]
    return found


@dataclass(frozen=True, slots=True)
class Visitor:
    """Somebody who came in: who, since when, and whether they may only look.

    `link` is the notice's link by which they are here now, if it is one; its forms need no token.
    """

    session: Session
    access: Access
    link: Link | None = None

    @property
    def person(self) -> str:
        """Their name."""
        return self.session.person


@dataclass(slots=True)
class Desk:
    """One app's parts. `secure` says that phones reach the page by https."""

    shown: Shown
    secret_key: str
    now: Callable[[], int]
    secure: bool = False
    attempts: Attempts = field(default_factory=Attempts)

    def words(self) -> Words:
        """The farm's language and habits."""
        farm = self.shown.farm()
        return Words(farm.language, farm.decimal, farm.zone)

    # --- who is there ------------------------------------------------------------------------------------

    def session_of(self, request: Request) -> Visitor | None:
        """Who the browser's cookie says is there, if that may still be believed."""
        session = read_session(request.cookies.get(cookie_name(self.secure), ""), self.secret_key)
        if session is None or session.expired(self.now()):
            return None
        access = self.shown.access(session.person, session.link, session.at)
        return None if access is None else Visitor(session, access)

    def visitor(self, request: Request) -> Visitor:
        """Who is there; HTTPException 401 if nobody whom the farm knows is."""
        found = self.session_of(request)
        if found is None:
            raise HTTPException(401)
        return found

    def by_notice(self, request: Request) -> Visitor:
        """Who a notice's link says is there; HTTPException 404 for a bad link, 410 for one that is too old."""
        link = read_link(request.path_params["token"], self.secret_key)
        if link is None:
            self.stranger(request)
            raise HTTPException(404)
        if link.expired(self.now()):
            raise HTTPException(410)
        access = self.shown.access(link.person, 0, link.at)
        if access is None:
            raise HTTPException(410)
        known = self.session_of(request)
        if known is not None and known.person == link.person and not known.access.read_only:
            return Visitor(known.session, known.access, link)
        return Visitor(Session(link.person, 0, link.at, secrets.token_urlsafe(12)), access, link)

    def stranger(self, request: Request) -> None:
        """Note a link that opens nothing; HTTPException 429 for too many of them."""
        if self.attempts.failed(address_of(request), self.now()):
            raise HTTPException(429)

    def may_say(self, request: Request) -> Visitor:
        """Who is there and may answer, before anything of what they send is read; HTTPException 401 or 403 if not."""
        visitor = self.visitor(request)
        self._check_right(visitor)
        return visitor

    def _check_right(self, visitor: Visitor) -> None:
        if visitor.access.read_only:
            raise HTTPException(403, "read-only")

    def check_form(self, visitor: Visitor, token: str) -> None:
        """HTTPException 403 if a form does not carry its session's token, or the visitor may only look."""
        self._check_right(visitor)
        if visitor.link is None and not right_token(token, visitor.session, self.secret_key):
            raise HTTPException(403)

    # --- what is sent ------------------------------------------------------------------------------------

    def page(
        self, template: str, visitor: Visitor | None, status: int = 200, look: Look | None = None, **values: Any
    ) -> Response:
        """One template filled in, with the headers of every page and, if it is time, a session begun anew."""
        words, farm, at = self.words(), self.shown.farm(), self.now() if look is None else look.at
        text = (
            templates(farm.language)
            .get_template(template)
            .render(
                words=words,
                farm=farm,
                at=at,
                visitor=visitor,
                may_answer=visitor is not None and not visitor.access.read_only,
                token=form_token(visitor.session, self.secret_key) if visitor else "",
                number=lambda: secrets.token_hex(12),
                version=version(),
                troubles=self.shown.troubles() if visitor else [],
                **values,
            )
        )
        response = HTMLResponse(text, status, HEADERS)
        if visitor is not None:
            self.keep(response, visitor)
        return response

    def keep(self, response: Response, visitor: Visitor) -> None:
        """Give the browser the session of who came by a notice's link, or begin one in use anew."""
        anew = visitor.session if visitor.link else visitor.session.renewed(self.now())
        if anew is not None:
            if anew.link and anew.at != visitor.session.at:
                self.shown.entered(anew.link)
            set_cookie(response, sign_session(anew, self.secret_key), self.secure)

    def say(self, title: str, *lines: str, status: int = 200, visitor: Visitor | None = None) -> Response:
        """A page that only says something."""
        return self.page("say.html", visitor, status, title=title, lines=lines)
