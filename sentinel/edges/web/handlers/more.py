"""Who is here, what else there is to look at, and the way out."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext


def show(context: RequestContext) -> Response:
    """It shows nothing of the farm."""
    return context.page()
