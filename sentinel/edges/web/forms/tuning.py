"""Another bound, written into a rule from the page by who may; and the last one put back."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from sentinel.edges.web.auth.visitors import admit_form, check_form, known, may_answer
from sentinel.edges.web.handlers.tune import shown
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import form_of, text, whole
from sentinel.edges.web.site import Site
from sentinel.flow.language import fill


def routes(site: Site) -> list[Route]:
    """Where it is sent to."""

    async def tune(request: Request) -> Response:
        await admit_form(site, request, may_answer)
        fields = await form_of(request)
        return await run_in_threadpool(_tune, site, request, fields)

    return [Route("/rules/{rule}/tune", tune, methods=["POST"])]


def _tune(site: Site, request: Request, fields: Mapping[str, str]) -> Response:
    """Write what a form says, or put the last edit back; HTTPException 403 for who may not."""
    visitor = known(site, request)
    check_form(site, visitor, fields.get("token", ""))
    if not site.reader.may_tune(visitor.person):
        raise HTTPException(403)
    context = RequestContext(site, request, visitor, site.screen("tune"))
    name, words = context.parameter("rule"), site.words()
    trial = site.reader.trial(name)
    if trial is None:
        raise HTTPException(404)
    place = None if "undo" in fields else whole(fields.get("n"))
    if place is not None and not 0 <= place < len(trial.stops):
        raise HTTPException(400)
    what = site.reader.prepare(name, None if place is None else trial.stops[place])
    if isinstance(what, str):
        return shown(context, place, reply=what)
    why_not = site.reader.write_rule(name, what, visitor.person, text(fields.get("why")), "anyway" in fields)
    if why_not:
        return shown(context, place, writing=True, reply=why_not)
    values = {"key": what.key, "before": what.edit.before, "after": what.edit.after}
    return shown(context, None, reply=fill(words.say("Written: {key} {before} → {after}."), values))
