"""The exports: what was read when, and what was set aside and why."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.views.feeds import feeds_page


def show(context: RequestContext) -> Response:
    """Every feed."""
    now = context.snapshot()
    return context.page(now, page=feeds_page(now.tables, context.reader.set_aside(), now.alerts, now.rules, now.at))
