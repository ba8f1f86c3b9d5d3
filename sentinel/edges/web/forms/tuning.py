"""Another bound, written into a rule from the page by who may; and the last one put back."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.visitors import admit_form, check_form, keep_session, known, may_answer, why_not_tune
from sentinel.edges.web.handlers.tune import shown
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import form_of, text, unread, whole
from sentinel.edges.web.site import Site
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Setting

MOST_KEYS = 3
"""So many keys are written at once: a rule's raising, clearing and pressing bound."""

LONGEST = 100
"""So many letters has a key or a value at most."""


def routes(site: Site) -> list[Route]:
    """Where it is sent to."""

    async def tune(request: Request) -> Response:
        await admit_form(site, request, may_answer)
        fields = await form_of(request)
        return await run_in_threadpool(_tune, site, request, fields)

    return [Route("/rules/{rule}/tune", tune, methods=["POST"])]


def _tune(site: Site, request: Request, fields: Mapping[str, str]) -> Response:
    """Write what a form says, or put back the edit that it names; HTTPException 403 for who may not."""
    visitor = known(site, request)
    check_form(site, visitor, fields.get("token", ""))
    if why_not := why_not_tune(site, visitor):
        raise HTTPException(403, why_not)
    context = RequestContext(site, request, visitor, site.screen("tune"))
    name = context.parameter("rule")
    trial = site.reader.trial(name)
    if trial is None:
        raise HTTPException(404)
    if "undo" in fields:
        place, what = None, site.reader.put_back(name, whole(fields["undo"]))
    else:
        settings, seen = _settings(fields)
        place = next((n for n, stop in enumerate(trial.stops) if stop == settings[0]), None)
        what = site.reader.prepare(name, settings, seen)
    if isinstance(what, Reason):
        return shown(context, place, refused=what)
    written = site.reader.write_rule(name, what, visitor.person, text(fields.get("why")), "anyway" in fields)
    if isinstance(written, Reason):
        return shown(context, place, writing=True, refused=written)
    response = RedirectResponse(f"{request.scope['path']}?written={written.seq}", 303, HEADERS)
    keep_session(site, response, visitor)
    return response


def _settings(fields: Mapping[str, str]) -> tuple[list[Setting], list[str]]:
    """The keys with their values that a form asks for, and what each was on the page; HTTPException 400 without one."""
    settings, seen = [], []
    for n in range(MOST_KEYS):
        some = [text(fields.get(f"{name}.{n}")) for name in ("key", "value", "before")]
        if any(some):
            if not all(some) or max(map(len, some)) > LONGEST:
                raise unread()
            settings.append((some[0], some[1]))
            seen.append(some[2])
    if not settings:
        raise unread()
    return settings, seen
