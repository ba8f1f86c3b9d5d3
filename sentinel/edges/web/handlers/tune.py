"""Another bound of a rule, tried on the last two months; and what writing it would change."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.views.tune import tune_page

PLACE_LENGTH = 3
"""So many digits has the place of a value at most."""


def show(context: RequestContext) -> Response:
    """The rule that the address names with the value at place `n`; with `write` what would change in its file.

    404 if there is no such rule, or its bound cannot be tried.
    """
    asked = context.request.query_params.get("n", "")
    place = int(asked) if asked.isascii() and asked.isdigit() and len(asked) <= PLACE_LENGTH else None
    return shown(context, place, "write" in context.request.query_params)


def shown(context: RequestContext, place: int | None, writing: bool = False, reply: str = "") -> Response:
    """The same, with what was said to a form."""
    name = context.parameter("rule")
    trial = context.reader.trial(name)
    if trial is None:
        raise HTTPException(404)
    page = tune_page(trial, place, context.words)
    may_tune = not context.visitor.access.read_only and context.reader.may_tune(context.visitor.person)
    writes = writing and may_tune and page.place != page.own and not page.unfit
    prepared = context.reader.prepare(name, (page.key, page.written)) if writes else None
    why_not = prepared if isinstance(prepared, str) else ""
    last = context.reader.log(kind="rule-edited")
    return context.page(
        context.snapshot(),
        page=page,
        may_tune=may_tune,
        prepared=None if isinstance(prepared, str) else prepared,
        why_not=why_not,
        reply=reply,
        last=next((one.entry for one in reversed(last) if one.entry.rule == name), None),
    )
