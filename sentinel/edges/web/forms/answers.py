"""Answers and chores done, sent by a form of a notice's page, of an alert's or of the round's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.links import PATH
from sentinel.edges.web.auth.visitors import Visitor, admit_form, by_notice, check_form, keep_session, known, may_answer
from sentinel.edges.web.handlers.alert import shown
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import MOST_KEPT, form_of, text
from sentinel.edges.web.site import Site
from sentinel.edges.web.submissions import Receipt, read_submission, take, taken_back


def routes(site: Site) -> list[Route]:
    """Where answers are sent to."""

    async def answer_by_notice(request: Request) -> Response:
        await admit_form(site, request, by_notice)
        fields = await form_of(request)
        return await run_in_threadpool(_answer_by_notice, site, request, fields)

    async def answer(request: Request) -> Response:
        await admit_form(site, request, may_answer)
        fields = await form_of(request)
        return await run_in_threadpool(_answer, site, request, fields)

    return [
        Route(PATH + "{token}", answer_by_notice, methods=["POST"]),
        Route("/alert/{alert:number}", answer, methods=["POST"]),
        Route("/round", answer, methods=["POST"]),
    ]


def _answer_by_notice(site: Site, request: Request, fields: Mapping[str, str]) -> Response:
    """Take an answer that was sent to a notice's link; the link itself is what a stranger cannot know."""
    visitor = by_notice(site, request)
    assert visitor.link is not None
    receipt = taken(site, visitor, {**fields, "alert": visitor.link.alert})
    return shown(RequestContext(site, request, visitor, site.screen("alert")), visitor.link.alert, receipt.text)


def _answer(site: Site, request: Request, fields: Mapping[str, str]) -> Response:
    """Take what a form says, then show the page it was on, with what was said to it."""
    visitor = known(site, request)
    check_form(site, visitor, fields.get("token", ""))
    if "alert" in request.path_params:
        fields = {**fields, "alert": request.path_params["alert"]}
    receipt = _all_here(site, visitor, fields) if "each" in fields else taken(site, visitor, fields)
    number = receipt.number.partition("/")[2] if receipt.state != "already" else "already"
    response = RedirectResponse(f"{request.scope['path']}?told={number}", 303, HEADERS)
    keep_session(site, response, visitor)
    return response


def _all_here(site: Site, visitor: Visitor, fields: Mapping[str, str]) -> Receipt:
    """Take all that a form without script says was done at one place: in `each` a line per chore, after its number.

    They are the numbers of the chores' own forms, so that what was ticked by itself is not recorded twice.
    """
    lines = [line.partition(" ") for line in fields["each"].splitlines() if line.strip()][:MOST_KEPT]
    receipts = [taken(site, visitor, {**fields, "number": number, "chore": chore}) for number, _, chore in lines]
    if not receipts:
        raise HTTPException(400)
    return next((receipt for receipt in receipts if receipt.state != "already"), receipts[0])


def taken(site: Site, visitor: Visitor, fields: Mapping[str, Any]) -> Receipt:
    """What becomes of what a visitor says."""
    snapshot, words = site.reader.snapshot(), site.words()
    undoes = taken_back(site.reader, visitor.person, fields)
    submission = read_submission(fields, visitor.person, snapshot, undoes)
    return take(site.reader, words, snapshot, submission, text(fields.get("number")))
