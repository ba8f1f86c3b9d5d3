"""What a phone kept while it had no signal, sent when it is back: each thing once, each with an answer of its own."""

from __future__ import annotations

import logging
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.visitors import Visitor, admit_form, check_form, has_token, known
from sentinel.edges.web.forms.answers import taken
from sentinel.edges.web.request_input import KEPT_LENGTH, UNREAD, body_of, items_of, text, unread
from sentinel.edges.web.site import Site
from sentinel.edges.web.submissions import kept_by_another, said_before

log = logging.getLogger("sentinel.page")


def routes(site: Site) -> list[Route]:
    """Where it is sent to."""

    async def kept(request: Request) -> Response:
        await admit_form(site, request, has_token)
        return await run_in_threadpool(_kept, site, request, await body_of(request, KEPT_LENGTH))

    return [Route("/kept", kept, methods=["POST"])]


def _kept(site: Site, request: Request, body: bytes) -> Response:
    """Take what a phone kept."""
    visitor = known(site, request)
    check_form(site, visitor, request.headers.get("x-form-token", ""))
    receipts = [_one_kept(site, visitor, item) for item in items_of(body)]
    told = [one for one in receipts if one is not None]
    return JSONResponse({"said": told, "at": site.now()}, headers=HEADERS)


def _one_kept(site: Site, visitor: Visitor, item: Any) -> dict[str, str] | None:
    """What becomes of one thing that a phone kept; what cannot be taken is said, not lost, and stops no other.

    None if it failed here: the phone keeps what got no reply, and sends it again.
    """
    words = site.words()
    say = words.say
    number = ""
    try:
        if not isinstance(item, dict):
            raise unread()
        number = text(item.get("number"))
        refused = kept_by_another(words, visitor.person, item)
        if refused:
            return {"number": number, "state": "refused", "text": refused}
        before = said_before(site.reader, visitor.person, number)
        if before is not None:
            return {"number": number, "state": "already", "text": before}
        receipt = taken(site, visitor, {**item, "number": number})
    except HTTPException as error:
        why = say("This alert or chore no longer exists.")
        if error.detail == UNREAD:
            why = say("It could not be read.")
        return {"number": number, "state": "refused", "text": why}
    except Exception:
        log.exception("one of the things that a phone of %s had kept could not be taken", visitor.person)
        return None
    return {"number": number, "state": receipt.state, "text": receipt.text}
