"""The page as an ASGI app: which address opens what.

Looking changes nothing, so that a chat app that previews a link does not answer for anybody; only forms do.
Everything works without script; nothing is asked of any other host. Without a session only a person's own link, a
notice's link, the phone's manifest and the files that are the same for everybody open.
"""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from sentinel.edges.web import assets as files
from sentinel.edges.web import photos as photo
from sentinel.edges.web import screens
from sentinel.edges.web.auth.guard import HEADERS, cookie_name, from_elsewhere, set_cookie
from sentinel.edges.web.auth.links import ENTER, PATH, form_token, new_session, read_entry, sign_session
from sentinel.edges.web.farm_reader import Shown
from sentinel.edges.web.handlers.answers import Said, read_deed, said_before, take
from sentinel.edges.web.request_context import Desk, Visitor
from sentinel.edges.web.request_input import KEPT_LENGTH, UNREAD, body_of, discard, form_of, items_of, text, unread

log = logging.getLogger("sentinel.page")


def make_app(shown: Shown, secret_key: str, now: Callable[[], int], secure: bool = False) -> Starlette:
    """The page; `now` gives UTC seconds; `secure`: phones reach it by https, so its cookie goes by nothing else."""
    desk = Desk(shown, secret_key, now, secure)
    receive_photo = photo.receiver(desk)

    def enter(request: Request) -> Response:
        return _enter(desk, request)

    def by_notice(request: Request) -> Response:
        visitor = desk.by_notice(request)
        assert visitor.link is not None
        return screens.alert(desk, visitor, visitor.link.alert)

    async def known(request: Request, who: Callable[[Request], object]) -> None:
        """Refuse another page's form, and whoever may not send one, before anything of what they send is kept."""
        try:
            if from_elsewhere(request):
                raise HTTPException(403)
            await run_in_threadpool(who, request)
        except HTTPException:
            await discard(request)
            raise

    def has_token(request: Request) -> None:
        desk.check_form(desk.may_say(request), request.headers.get("x-form-token", ""))

    async def answer_by_notice(request: Request) -> Response:
        await known(request, desk.by_notice)
        fields = await form_of(request)
        return await run_in_threadpool(_answer_by_notice, desk, request, fields)

    async def act(request: Request) -> Response:
        await known(request, desk.may_say)
        fields = await form_of(request)
        return await run_in_threadpool(_act, desk, request, fields)

    async def add_photo(request: Request) -> Response:
        await known(request, desk.may_say)
        return await receive_photo(request, photo.add)

    async def kept_photo(request: Request) -> Response:
        await known(request, has_token)
        return await receive_photo(request, photo.kept)

    async def leave(request: Request) -> Response:
        await known(request, lambda _: None)
        somebody = await run_in_threadpool(desk.session_of, request)
        fields = await form_of(request) if somebody else {}  # a stranger may leave, too, and says nothing that counts
        return await run_in_threadpool(_leave, desk, request, fields)

    async def kept(request: Request) -> Response:
        await known(request, has_token)
        return await run_in_threadpool(_kept, desk, request, await body_of(request, KEPT_LENGTH))

    def who(request: Request) -> Response:
        visitor = desk.visitor(request)
        told = {"person": visitor.person, "token": form_token(visitor.session, desk.secret_key)}
        return JSONResponse({**told, "read_only": visitor.access.read_only}, headers=HEADERS)

    def health(request: Request) -> Response:
        told = shown.health()
        return JSONResponse(dict(told), 200 if told["ok"] else 503, HEADERS)

    def failed(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        detail = error.detail if isinstance(error, HTTPException) else ""
        return screens.failed(desk, request, status, detail)

    def not_written(request: Request, error: Exception) -> Response:
        log.error("%s %s was not kept: %s", request.method, request.scope["path"].split("/")[1], error)
        return screens.failed(desk, request, *((503, screens.NOT_KEPT) if request.method == "POST" else (500,)))

    app = Starlette(
        routes=[
            Route("/health", health, methods=["GET"]),
            *files.routes(desk),
            Route(ENTER + "{token}", enter, methods=["GET"]),
            Route(PATH + "{token}", by_notice, methods=["GET"]),
            Route(PATH + "{token}", answer_by_notice, methods=["POST"]),
            *screens.routes(desk),
            Route("/who", who, methods=["GET"]),
            Route("/alert/{alert:number}", act, methods=["POST"]),
            Route("/alert/{alert:number}/photo", add_photo, methods=["POST"]),
            Route("/photo/{name}", lambda request: photo.shown(desk, request), methods=["GET"]),
            Route("/round", act, methods=["POST"]),
            Route("/kept", kept, methods=["POST"]),
            Route("/kept/photo", kept_photo, methods=["POST"]),
            Route("/leave", leave, methods=["POST"]),
        ],
        exception_handlers={HTTPException: failed, sqlite3.OperationalError: not_written, Exception: failed},
    )
    app.router.redirect_slashes = False
    return app


def _enter(desk: Desk, request: Request) -> Response:
    """Open a session by a person's own link."""
    told = read_entry(request.path_params["token"], desk.secret_key)
    access = desk.shown.access(told[1], told[0], desk.now()) if told and told[0] else None
    if told is None or access is None:
        desk.stranger(request)
        raise HTTPException(404 if told is None else 410)
    desk.shown.entered(told[0])
    response = RedirectResponse("/", 303, HEADERS)
    set_cookie(response, sign_session(new_session(told[1], told[0], desk.now()), desk.secret_key), desk.secure)
    return response


def _answer_by_notice(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """Take an answer that was sent to a notice's link; the link itself is what a stranger cannot know."""
    visitor = desk.by_notice(request)
    assert visitor.link is not None
    said = _taken(desk, visitor, {**fields, "alert": visitor.link.alert})
    return screens.alert(desk, visitor, visitor.link.alert, said.text)


def _act(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """Take what a form says, then show the page it was on, with what was said to it."""
    visitor = desk.visitor(request)
    desk.check_form(visitor, fields.get("token", ""))
    if "alert" in request.path_params:
        fields = {**fields, "alert": request.path_params["alert"]}
    said = _taken(desk, visitor, fields)
    told = said.number.partition("/")[2] if said.state != "already" else "already"
    response = RedirectResponse(f"{request.scope['path']}?told={told}", 303, HEADERS)
    desk.keep(response, visitor)
    return response


def _taken(desk: Desk, visitor: Visitor, fields: dict[str, Any]) -> Said:
    """What becomes of what a visitor says."""
    look, words = desk.shown.look(), desk.words()
    deed = read_deed(fields, visitor.person, look)
    return take(desk.shown, words, look, deed, text(fields.get("number")))


def _kept(desk: Desk, request: Request, body: bytes) -> Response:
    """Take what a phone kept while it had no signal: each once, each with an answer of its own."""
    visitor = desk.visitor(request)
    desk.check_form(visitor, request.headers.get("x-form-token", ""))
    said = [_one_kept(desk, visitor, item) for item in items_of(body)]
    return JSONResponse({"said": [one for one in said if one is not None]}, headers=HEADERS)


def _one_kept(desk: Desk, visitor: Visitor, item: Any) -> dict[str, str] | None:
    """What becomes of one thing that a phone kept; what cannot be taken is said, not lost, and stops no other.

    None if it failed here: the phone keeps what nothing is said of, and sends it again.
    """
    say = desk.words().texts.gettext
    number = ""
    try:
        if not isinstance(item, dict):
            raise unread()
        number = text(item.get("number"))
        refused = photo.kept_by_another(desk, visitor, item)
        if refused:
            return {"number": number, "state": "refused", "text": refused}
        before = said_before(desk.shown, visitor.person, number)
        if before is not None:
            return {"number": number, "state": "already", "text": before}
        said = _taken(desk, visitor, {**item, "number": number})
    except HTTPException as error:
        why = say("The farm does not know this alert or chore any more.")
        if error.detail == UNREAD:
            why = say("It could not be read.")
        return {"number": number, "state": "refused", "text": why}
    except Exception:
        log.exception("one of the things that a phone of %s had kept could not be taken", visitor.person)
        return None
    return {"number": number, "state": said.state, "text": said.text}


def _leave(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """Forget the session on this phone."""
    visitor = desk.session_of(request)
    if visitor is not None and visitor.access.read_only is False:
        desk.check_form(visitor, fields.get("token", ""))
    say = desk.words().texts.gettext
    response = desk.say(say("You have left"), say("Your own link, or one in a notice, opens the page again."))
    response.delete_cookie(cookie_name(desk.secure), path="/", secure=desk.secure, httponly=True, samesite="lax")
    return response
