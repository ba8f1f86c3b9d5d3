"""How the herd is doing."""

from __future__ import annotations

from collections import Counter

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.herd.watched import alerts_in
from sentinel.flow.views.charts.herd import herd_pictures, month_words
from sentinel.flow.views.herd import herd_page
from sentinel.flow.views.parts.links import link_to

MOST_SHOWN = 10
"""So many of the alerts that stand are listed; the first page has all."""


def show(context: RequestContext) -> Response:
    """The herd against the weeks and years before."""
    snapshot = context.snapshot()
    page = herd_page(snapshot, context.reader.herd_past(snapshot))
    cells, milkings = herd_pictures(page, snapshot.words, snapshot.farm.zone)
    return context.page(
        snapshot,
        page=page,
        cells_picture=cells,
        milkings_picture=milkings,
        month_words=month_words,
        alerts=alerts_in(page.watched),
        ways=Counter(one.way for one in page.watched),
        most_shown=MOST_SHOWN,
        tank_links={tank.tank: link_to(f"tank:{tank.tank}") for tank in page.cells.tanks},
    )
