"""One cow: is she ill, and what speaks for it."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import must_be_known
from sentinel.flow.model import QUARTERS
from sentinel.flow.views.charts.course import strips
from sentinel.flow.views.charts.pictures import cow_pictures, rows_of
from sentinel.flow.views.cow import cow_page


def show(context: RequestContext) -> Response:
    """The cow that the address names; 404 if nothing ever named her."""
    snapshot, cow = context.snapshot(), context.parameter("cow")
    alerts = context.reader.alerts_of(f"cow:{cow}", *(f"quarter:{cow}/{quarter}" for quarter in QUARTERS))
    farm, at = snapshot.farm, snapshot.at
    page = cow_page(cow, snapshot.tables, alerts, farm.zone, at, snapshot.rules, snapshot.alerts)
    must_be_known(page.known)
    pictures = cow_pictures(page, rows_of(snapshot, alerts))
    return context.page(snapshot, page=page, strips=strips(page.udder), quarters=QUARTERS, pictures=pictures)
