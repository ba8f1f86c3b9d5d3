"""Why an alert came: what its rule saw, the threshold that applied, the rows behind it, who was told and who had it."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.views.why import why_page


def show(context: RequestContext) -> Response:
    """The page of why the alert came that the address names; 404 if there is none of that number."""
    snapshot = context.snapshot()
    alert = context.reader.alert(context.parameter("alert"))
    if alert is None:
        raise HTTPException(404)
    return context.page(snapshot, alert=alert, page=why_page(context.reader.why(alert), snapshot.words))
