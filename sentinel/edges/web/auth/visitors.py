"""Who is there: by a session's cookie, or by a notice's link; and what they may do."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from sentinel.edges.web.auth.guard import address_of, cookie_name, from_elsewhere, set_cookie
from sentinel.edges.web.auth.links import Link, Session, read_link, read_session, right_token, sign_session
from sentinel.edges.web.farm_reader import Access
from sentinel.edges.web.request_input import discard

if TYPE_CHECKING:
    from sentinel.edges.web.site import Site


READ_ONLY, OWN_LINK, NO_TUNING = "read-only", "own-link", "no-tuning"
"""Details of a 403: who came may only look; their own link is wanted; they may not change rules."""


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


def session_of(site: Site, request: Request) -> Visitor | None:
    """Who the browser's cookie says is there, if that may still be believed."""
    session = read_session(request.cookies.get(cookie_name(site.secure), ""), site.secret_key)
    if session is None or session.expired(site.now()):
        return None
    access = site.reader.access(session.person, session.link, session.at)
    return None if access is None else Visitor(session, access)


def known(site: Site, request: Request) -> Visitor:
    """Who is there; HTTPException 401 if nobody whom the farm knows is."""
    session = session_of(site, request)
    if session is None:
        raise HTTPException(401)
    return session


def by_notice(site: Site, request: Request) -> Visitor:
    """Who a notice's link says is there; HTTPException 404 for a bad link, 410 for one that is too old."""
    link = read_link(request.path_params["token"], site.secret_key)
    if link is None:
        count_stranger(site, request)
        raise HTTPException(404)
    if link.expired(site.now()):
        raise HTTPException(410)
    access = site.reader.access(link.person, 0, link.at)
    if access is None:
        raise HTTPException(410)
    visitor = session_of(site, request)
    if visitor is not None and visitor.person == link.person and not visitor.access.read_only:
        return Visitor(visitor.session, visitor.access, link)
    return Visitor(Session(link.person, 0, link.at, secrets.token_urlsafe(12)), access, link)


def count_stranger(site: Site, request: Request) -> None:
    """Note a link that opens nothing; HTTPException 429 for too many of them."""
    if site.attempts.failed(address_of(request), site.now()):
        raise HTTPException(429)


def may_answer(site: Site, request: Request) -> Visitor:
    """Who is there and may answer, before anything of what they send is read; HTTPException 401 or 403 if not."""
    visitor = known(site, request)
    _check_right(visitor)
    return visitor


def has_token(site: Site, request: Request) -> Visitor:
    """Who is there and may answer, by the form token that a script sends beside what it sends; HTTPException if not."""
    visitor = may_answer(site, request)
    check_form(site, visitor, request.headers.get("x-form-token", ""))
    return visitor


def check_form(site: Site, visitor: Visitor, token: str) -> None:
    """HTTPException 403 if a form does not carry its session's token, or the visitor may only look."""
    _check_right(visitor)
    if visitor.link is None and not right_token(token, visitor.session, site.secret_key):
        raise HTTPException(403)


def _check_right(visitor: Visitor) -> None:
    if visitor.access.read_only:
        raise HTTPException(403, READ_ONLY)


def why_not_tune(site: Site, visitor: Visitor) -> str:
    """Why a visitor may not write into the rules, as a 403's detail; "" for who may.

    A notice's link is not enough: it stands in messages that are passed on, and is meant for an answer.
    """
    if visitor.access.read_only:
        return READ_ONLY
    if not site.reader.may_tune(visitor.person):
        return NO_TUNING
    return "" if visitor.session.link and visitor.link is None else OWN_LINK


async def admit_form(site: Site, request: Request, admits: Callable[[Site, Request], object]) -> None:
    """Refuse another page's form, and whoever may not send one, before anything of what they send is kept."""
    try:
        if from_elsewhere(request):
            raise HTTPException(403)
        await run_in_threadpool(admits, site, request)
    except HTTPException:
        await discard(request)
        raise


def keep_session(site: Site, response: Response, visitor: Visitor) -> None:
    """Give the browser the session of who came by a notice's link, or begin one in use anew."""
    renewed = visitor.session if visitor.link else visitor.session.renewed(site.now())
    if renewed is not None:
        if renewed.link and renewed.at != visitor.session.at:
            site.reader.entered(renewed.link)
        set_cookie(response, sign_session(renewed, site.secret_key), site.secure)
