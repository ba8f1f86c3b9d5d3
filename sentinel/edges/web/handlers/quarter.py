"""One quarter against the cow's others."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import must_be_known
from sentinel.flow.model import QUARTERS
from sentinel.flow.views.charts.pictures import quarter_pictures, rows_of
from sentinel.flow.views.quarter import quarter_page


def show(context: RequestContext) -> Response:
    """The quarter that the address names; 404 if there is no such quarter, or nothing is known of it."""
    cow, quarter = context.parameter("cow"), context.parameter("quarter")
    must_be_known(quarter in QUARTERS)
    snapshot, alerts = context.snapshot(), context.reader.alerts_of(f"quarter:{cow}/{quarter}")
    page = quarter_page(cow, quarter, snapshot.tables, alerts, snapshot.at)
    must_be_known(bool(page.readings or page.marks))
    return context.page(snapshot, page=page, pictures=quarter_pictures(cow, quarter, rows_of(snapshot, alerts)))
