"""Photos of what was found: sent by the alert's form, or kept by a phone without signal and sent later; each once."""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import AsyncGenerator, Awaitable, Callable, Mapping
from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.visitors import Visitor, admit_form, check_form, has_token, keep_session, known, may_answer
from sentinel.edges.web.farm_reader import Unkept
from sentinel.edges.web.handlers.alert import shown
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import body_of, text, whole
from sentinel.edges.web.site import Site
from sentinel.edges.web.submissions import kept_by_another, made_at, numbered, said_before
from sentinel.flow.language import fill
from sentinel.flow.model import Alert

PHOTO_LENGTH = 16_000_000
"""No photo of a phone is longer in bytes."""

AT_ONCE = 4
WAIT_S = 60.0
"""So many photos are received at once, each held whole in memory; further ones wait so long, then are refused."""

Take = Callable[[Site, Request, dict[str, str], bytes], Response]


def routes(site: Site) -> list[Route]:
    """Where photos are sent to, and looked at."""
    receive = receiver(site)

    async def add_photo(request: Request) -> Response:
        await admit_form(site, request, may_answer)
        return await receive(request, add)

    async def kept_photo(request: Request) -> Response:
        await admit_form(site, request, has_token)
        return await receive(request, kept)

    return [
        Route("/alert/{alert:number}/photo", add_photo, methods=["POST"]),
        Route("/photo/{name}", partial(get, site), methods=["GET"]),
        Route("/kept/photo", kept_photo, methods=["POST"]),
    ]


def receiver(site: Site) -> Callable[[Request, Take], Awaitable[Response]]:
    """What receives a form with a photo from somebody known, and hands it on; few at once.

    Whoever waits has sent no more than what a connection holds back.
    """
    places = asyncio.Semaphore(AT_ONCE)

    async def receive(request: Request, take: Take) -> Response:
        try:
            async with asyncio.timeout(WAIT_S):
                await places.acquire()
        except TimeoutError as error:
            raise HTTPException(503) from error
        try:
            fields, content = await parts(request, await body_of(request, PHOTO_LENGTH))
            return await run_in_threadpool(take, site, request, fields, content)
        finally:
            places.release()

    return receive


def get(site: Site, request: Request) -> Response:
    """A photo, to somebody whom the farm knows."""
    known(site, request)
    content = site.reader.photo(request.path_params["name"])
    if content is None:
        raise HTTPException(404)
    return Response(content, headers={**HEADERS, "Content-Type": "image/jpeg"})


def add(site: Site, request: Request, fields: dict[str, str], content: bytes) -> Response:
    """Take a photo from the form of an alert's page, then show the alert again."""
    visitor = known(site, request)
    check_form(site, visitor, fields.get("token", ""))
    alert = site.reader.alert(request.path_params["alert"])
    if alert is None:
        raise HTTPException(404)
    unkept = _put(site, visitor, alert, fields, content)
    if unkept is not None:
        return shown(
            RequestContext(site, request, visitor, site.screen("alert")),
            alert.id,
            _why(site, unkept),
            413 if unkept.most_pixels else 400,
        )
    response = RedirectResponse(f"/alert/{alert.id}", 303, HEADERS)
    keep_session(site, response, visitor)
    return response


def kept(site: Site, request: Request, fields: dict[str, str], content: bytes) -> Response:
    """Take a photo that a phone kept without signal, and say what became of it as of all else that it kept."""
    visitor = known(site, request)
    check_form(site, visitor, request.headers.get("x-form-token", ""))
    state, words = _kept(site, visitor, fields, content)
    receipt = {"number": text(fields.get("number")), "state": state, "text": words}
    return JSONResponse({"said": [receipt]}, headers=HEADERS)


def _kept(site: Site, visitor: Visitor, fields: Mapping[str, str], content: bytes) -> tuple[str, str]:
    """What became of it, and its words."""
    refused = kept_by_another(site.words(), visitor.person, fields)
    if refused:
        return "refused", refused
    before = said_before(site.reader, visitor.person, fields.get("number", ""))
    if before is not None:
        return "already", before
    try:
        alert = site.reader.alert(whole(fields.get("alert")))
    except HTTPException:
        alert = None
    if alert is None:
        return "refused", site.words().say("This alert or chore no longer exists.")
    unkept = _put(site, visitor, alert, fields, content)
    if unkept is not None:
        return "refused", _why(site, unkept)
    return "taken", _thanks(site, visitor)


def _put(site: Site, visitor: Visitor, alert: Alert, fields: Mapping[str, str], content: bytes) -> Unkept | None:
    """Keep a photo with its alert, once under the phone's number for it; without one, what it shows is its number."""
    drawn = hashlib.sha256(f"{alert.id} ".encode() + content).hexdigest()
    number = numbered(visitor.person, fields.get("number", "")) or f"{visitor.person}/{drawn}"
    at = made_at(fields, site.now())
    return site.reader.put_photo(alert, visitor.person, content, number, at, _thanks(site, visitor))


def _thanks(site: Site, visitor: Visitor) -> str:
    return fill(site.words().say("Thank you, {person}. The photo is with its alert."), {"person": visitor.person})


def _why(site: Site, unkept: Unkept) -> str:
    """Why a photo was not kept, and what can be done."""
    if unkept.most_pixels:
        sentence = site.words().say("The picture has more than {most} million pixels. Take it again in a smaller size.")
        return fill(sentence, {"most": unkept.most_pixels // 1_000_000})
    return site.words().say("This file is not a readable picture. JPEG, PNG and WebP can be read.")


async def parts(request: Request, body: bytes) -> tuple[dict[str, str], bytes]:
    """The fields of a form with a file, and the file's bytes; HTTPException 400 if it is no such form."""

    async def received() -> AsyncGenerator[bytes, None]:
        yield body

    try:
        form = await MultiPartParser(request.headers, received(), max_files=1, max_fields=10).parse()
    except (MultiPartException, KeyError, ValueError) as error:  # the last: a form that breaks off, an odd charset
        raise HTTPException(400) from error
    fields = {name: value for name, value in form.multi_items() if isinstance(value, str)}
    files = [value for value in form.values() if isinstance(value, UploadFile)]
    content = await files[0].read() if files else b""
    await form.close()
    return fields, content
