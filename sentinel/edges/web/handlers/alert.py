"""One alert: why it was raised, what to look at first, and the forms that answer it."""

from __future__ import annotations

from datetime import timedelta

from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.links import THE_HERD, THE_ROUND
from sentinel.edges.web.auth.visitors import keep_session
from sentinel.edges.web.page_language import PageLanguage
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.submissions import NOTE_LENGTH
from sentinel.flow.model import HOUR_S, QUARTERS, Alert, kind_of, name_of
from sentinel.flow.settings.people import moment
from sentinel.flow.views.alert import alert_page
from sentinel.flow.views.charts.pictures import alert_pictures, rows_of
from sentinel.flow.views.parts.listed_cows import listed_cows
from sentinel.flow.views.parts.snapshot import Snapshot
from sentinel.flow.views.parts.usual_gap import usual_gap_h

HINTS = 3
"""So many things to look at first are shown above the answers; the rest below them, so that both are seen at once."""


def show(context: RequestContext) -> Response:
    """The page of the alert that the address names."""
    return shown(context, context.parameter("alert"), context.confirmation())


def show_by_notice(context: RequestContext) -> Response:
    """The page of the alert that a notice's link names; of a list or the week another page, in a session."""
    assert context.visitor.link is not None
    page = {THE_ROUND: "/round", THE_HERD: "/herd"}.get(context.visitor.link.alert)
    if page is not None:
        response = RedirectResponse(page, 303, HEADERS)
        keep_session(context.site, response, context.visitor)
        return response
    return shown(context, context.visitor.link.alert)


def shown(context: RequestContext, number: int, reply: str = "", status: int = 200) -> Response:
    """The page of one alert, with what was said to an answer or a photo."""
    reader, alert = context.reader, context.reader.alert(number)
    if alert is None:
        raise HTTPException(404)
    snapshot, log = context.snapshot(), reader.log(number)
    about_cow = kind_of(alert.subject) == "cow"
    return context.page(
        snapshot,
        status,
        alert=alert,
        page=alert_page(
            alert,
            log,
            snapshot.rules,
            snapshot.farm,
            snapshot.alerts,
            reader.log(kind="answer"),
            snapshot.words,
            usual_gap_h(name_of(alert.subject), snapshot.tables, snapshot.at) if about_cow else None,
            listed_cows(alert, snapshot.tables, snapshot.at),
        ),
        hints=HINTS,
        told_next=reader.told_next(alert),
        reply=reply,
        photos=[one.entry for one in log if one.entry.kind == "photo"],
        pictures=alert_pictures(alert, rows_of(snapshot, reader.alerts_of(*_related(alert)))),
        put_off=_put_off(snapshot),
        others=[name for name in snapshot.people if name != context.visitor.person],
        note_length=NOTE_LENGTH,
    )


def _related(alert: Alert) -> list[str]:
    """The subjects whose alerts belong on the charts of one alert: its own, and a cow's with her quarters'."""
    if kind_of(alert.subject) not in ("cow", "quarter"):
        return [alert.subject]
    cow = name_of(alert.subject).partition("/")[0]
    return [f"cow:{cow}", *(f"quarter:{cow}/{quarter}" for quarter in QUARTERS)]


def _put_off(snapshot: Snapshot) -> list[tuple[int, int]]:
    """Moments to put an alert off until: as (moment, hours from now or 0 for the next round)."""
    rounds = _next_rounds(snapshot)
    return [*((snapshot.at + hours * HOUR_S, hours) for hours in (1, 3)), *((then, 0) for then in rounds)]


def _next_rounds(snapshot: Snapshot) -> list[int]:
    """When the next two rounds begin."""
    today = PageLanguage("en", ".", snapshot.farm.zone).local(snapshot.at).date()
    starts = (
        moment(today + timedelta(days=n), one.hour * 60 + one.minute, snapshot.farm.zone)
        for n in range(3)
        for one in snapshot.farm.rounds
    )
    return sorted(then for then in starts if then > snapshot.at + 900)[:2]
