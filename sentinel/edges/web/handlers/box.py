"""One box's two weeks."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import must_be_known
from sentinel.flow.views.box import box_page
from sentinel.flow.views.charts.pictures import box_pictures, rows_of


def show(context: RequestContext) -> Response:
    """The box that the address names; 404 if the farm has none of that name and nothing ever named it."""
    snapshot, box = context.snapshot(), context.parameter("box")
    chores = (f"chore:{one.name}/{one.place}" for one in snapshot.farm.chores if one.place == box)
    alerts = context.reader.alerts_of(f"box:{box}", *chores)
    page = box_page(box, snapshot.tables, alerts, snapshot.rules, snapshot.farm.zone, snapshot.at)
    must_be_known(page.known)
    return context.page(snapshot, page=page, pictures=box_pictures(box, rows_of(snapshot, alerts)))
