"""A screen that shows one view of the whole farm, by nothing but its address: the registry says which view."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext


def show(context: RequestContext) -> Response:
    """The screen's view of the farm as it is now; `by_id` are the alerts that it may name."""
    assert context.screen.view is not None
    snapshot = context.snapshot()
    by_id = {alert.id: alert for alert in snapshot.alerts}
    return context.page(snapshot, page=context.screen.view(snapshot), by_id=by_id, reply=context.confirmation())
