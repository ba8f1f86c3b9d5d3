"""The report card of the rules."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.views.report import GOES_BACK_S, report_page


def show(context: RequestContext) -> Response:
    """The last year, month by month."""
    snapshot, reader = context.snapshot(), context.reader
    since = snapshot.at - GOES_BACK_S
    notices, answers = (reader.log(kind=kind, since=since) for kind in ("notice", "answer"))
    alerts = list(reader.alerts_of())
    until = max([snapshot.at, *(one.raised_at for one in alerts)]) + 1  # a look may stand ahead of the clock
    page = report_page(
        snapshot.rules,
        alerts,
        notices,
        answers,
        reader.trial,
        snapshot.farm.zone,
        since,
        until,
        snapshot.words,
    )
    return context.page(snapshot, page=page)
