"""A cow, a box or a tank by its number."""

from __future__ import annotations

from starlette.responses import RedirectResponse, Response

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.visitors import keep_session
from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.views.find import FOUND, find_page


def show(context: RequestContext) -> Response:
    """What was asked for, or at once the page of the only cow, box or tank that it names."""
    asked = context.request.query_params.get("q", "").strip()[:40]
    snapshot, say = context.snapshot(), context.words.say
    kinds = [(say(kind.word), kind.name) for kind in FOUND]
    page = find_page(asked, snapshot.tables, words=kinds) if asked else None
    if page is not None and page.exact is not None and len(page.links) == 1:
        response = RedirectResponse(f"/{page.exact.page}/{page.exact.name}", 303, HEADERS)
        keep_session(context.site, response, context.visitor)
        return response
    tanks = sorted({str(tank) for tank in snapshot.tables.tank["tank"].unique()})
    return context.page(snapshot, page=page, asked=asked, tanks=tanks)
