"""One tank's readings and results."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import must_be_known
from sentinel.flow.views.charts.pictures import rows_of, tank_pictures
from sentinel.flow.views.tank import tank_page


def show(context: RequestContext) -> Response:
    """The tank that the address names; 404 if no row ever named it."""
    snapshot, tank = context.snapshot(), context.parameter("tank")
    alerts = context.reader.alerts_of(f"tank:{tank}")
    page = tank_page(tank, snapshot.tables, alerts, snapshot.rules, snapshot.at)
    must_be_known(page.known)
    return context.page(snapshot, page=page, pictures=tank_pictures(page, rows_of(snapshot, alerts)))
