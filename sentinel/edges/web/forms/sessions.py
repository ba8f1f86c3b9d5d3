"""Coming in by a person's own link, who is here, and leaving again."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS, cookie_name, set_cookie
from sentinel.edges.web.auth.links import ENTER, form_token, new_session, read_entry, sign_session
from sentinel.edges.web.auth.visitors import admit_form, check_form, count_stranger, known, session_of
from sentinel.edges.web.request_input import form_of
from sentinel.edges.web.site import Site
from sentinel.edges.web.templating import message


def routes(site: Site) -> list[Route]:
    """Where one comes in and leaves."""

    async def leave(request: Request) -> Response:
        await admit_form(site, request, lambda *_: None)
        somebody = await run_in_threadpool(session_of, site, request)
        fields = await form_of(request) if somebody else {}  # a stranger may leave, too, and says nothing that counts
        return await run_in_threadpool(_leave, site, request, fields)

    return [
        Route(ENTER + "{token}", partial(enter, site), methods=["GET"]),
        Route("/who", partial(who, site), methods=["GET"]),
        Route("/leave", leave, methods=["POST"]),
    ]


def enter(site: Site, request: Request) -> Response:
    """Open a session by a person's own link."""
    entry = read_entry(request.path_params["token"], site.secret_key)
    access = site.reader.access(entry[1], entry[0], site.now()) if entry and entry[0] else None
    if entry is None or access is None:
        count_stranger(site, request)
        raise HTTPException(404 if entry is None else 410)
    number, person = entry
    site.reader.entered(number)
    response = RedirectResponse("/", 303, HEADERS)
    set_cookie(response, sign_session(new_session(person, number, site.now()), site.secret_key), site.secure)
    return response


def who(site: Site, request: Request) -> Response:
    """Who the phone's script speaks for, and the token that its forms carry."""
    visitor = known(site, request)
    here = {"person": visitor.person, "token": form_token(visitor.session, site.secret_key)}
    return JSONResponse({**here, "read_only": visitor.access.read_only}, headers=HEADERS)


def _leave(site: Site, request: Request, fields: Mapping[str, str]) -> Response:
    """Forget the session on this phone."""
    visitor = session_of(site, request)
    if visitor is not None and visitor.access.read_only is False:
        check_form(site, visitor, fields.get("token", ""))
    say = site.words().say
    response = message(site, say("Signed out"), say("Your own link, or one in a notice, opens the page again."))
    response.delete_cookie(cookie_name(site.secure), path="/", secure=site.secure, httponly=True, samesite="lax")
    return response
