"""Another bound of a rule, tried on the last two months; and what writing it would change."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.responses import Response

from sentinel.edges.web.auth.visitors import OWN_LINK, why_not_tune
from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.reasons import Reason, in_words
from sentinel.flow.tuning.edit import changes_in
from sentinel.flow.views.tune import tune_page

PLACE_LENGTH = 3
"""So many digits has the place of a value at most."""


def show(context: RequestContext) -> Response:
    """The rule that the address names with the value at place `n`; with `write` what would change in its file.

    404 if there is no such rule, or its bound cannot be tried.
    """
    asked = context.request.query_params
    place = asked.get("n", "")
    whole = int(place) if place.isascii() and place.isdigit() and len(place) <= PLACE_LENGTH else None
    return shown(context, whole, "write" in asked, written=asked.get("written", ""))


def shown(
    context: RequestContext, place: int | None, writing: bool = False, refused: Reason | None = None, written: str = ""
) -> Response:
    """The same, with why a form was refused, or after one what was `written`, by its number in the log."""
    name, words = context.parameter("rule"), context.words
    trial = context.reader.trial(name)
    if trial is None:
        raise HTTPException(404)
    page = tune_page(trial, place, words)
    why_not = why_not_tune(context.site, context.visitor)
    can_write = not why_not and page.place != page.own and not page.unfit and not page.unwritten
    prepared = context.reader.prepare(name, page.settings) if writing and can_write else None
    last = _last_edit(context, name)
    return context.page(
        context.snapshot(),
        page=page,
        may_tune=not why_not,
        own_link_wanted=why_not == OWN_LINK,
        prepared=None if isinstance(prepared, Reason) else prepared,
        why_not=in_words(prepared, words) if isinstance(prepared, Reason) else "",
        refused=in_words(refused, words),
        last=last,
        changes=changes_in(last.entry.body) if last else [],
        written=last is not None and str(last.seq) == written,
    )


def _last_edit(context: RequestContext, name: str) -> Logged | None:
    """The last edit of a rule."""
    return next((one for one in reversed(context.reader.log(kind="rule-edited")) if one.entry.rule == name), None)
