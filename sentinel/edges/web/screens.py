"""The pages that are looked at: each asks the views what to show and fills in a template."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.farm_reader import Look
from sentinel.edges.web.handlers import history as books
from sentinel.edges.web.handlers.answers import NOTE_LENGTH
from sentinel.edges.web.page_language import Words
from sentinel.edges.web.request_context import Desk, Visitor
from sentinel.flow.model import HOUR_S, QUARTERS, Alert, kind_of, name_of
from sentinel.flow.people import moment
from sentinel.flow.schedule.worklist import worklist
from sentinel.flow.views.alert import story
from sentinel.flow.views.box import box_page
from sentinel.flow.views.charts.pictures import (
    Rows,
    alert_pictures,
    box_pictures,
    cow_pictures,
    quarter_pictures,
    tank_pictures,
)
from sentinel.flow.views.cow import cow_page
from sentinel.flow.views.find import find
from sentinel.flow.views.now import now_page
from sentinel.flow.views.quarter import quarter_page
from sentinel.flow.views.tank import tank_page

Screen = Callable[[Desk, Visitor, Request], Response]


def routes(desk: Desk) -> list[Route]:
    """Where the pages are; every one of them needs a session."""

    def screen(show: Screen) -> Callable[[Request], Response]:
        def shown(request: Request) -> Response:
            return show(desk, desk.visitor(request), request)

        return shown

    pages: tuple[tuple[str, Screen], ...] = (
        ("/", _now),
        ("/alert/{alert:number}", _alert),
        ("/round", _round),
        ("/round/print", _print),
        ("/cow/{cow}", _cow),
        ("/cow/{cow}/{quarter}", _quarter),
        ("/box/{box}", _box),
        ("/tank/{tank}", _tank),
        ("/find", _find),
        ("/history", books.history),
        ("/history.csv", books.history_csv),
        ("/history.json", books.history_json),
        ("/feeds", books.feeds),
        ("/rules", books.rules),
        ("/more", _more),
    )
    return [Route(path, screen(show), methods=["GET"]) for path, show in pages]


def _said(desk: Desk, visitor: Visitor, request: Request) -> str:
    """What was said to the form that brought the browser here."""
    told = request.query_params.get("told", "")
    if told == "already":
        return desk.words().texts.gettext("This was already noted.")
    return (desk.shown.said_of(f"{visitor.person}/{told}") or "") if told else ""


def _now(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look = desk.shown.look()
    page = now_page(look.alerts, look.tables.farm.feeds, look.rules, look.farm, look.at)
    return desk.page("now.html", visitor, look=look, tab="now", page=page, by_id=_by_id(look))


def _by_id(look: Look) -> dict[int, Alert]:
    """The alerts that a list may name, by their numbers."""
    return {alert.id: alert for alert in look.alerts}


def _alert(desk: Desk, visitor: Visitor, request: Request) -> Response:
    return alert(desk, visitor, request.path_params["alert"], _said(desk, visitor, request))


def alert(desk: Desk, visitor: Visitor, number: int, said: str = "", status: int = 200) -> Response:
    """The page of one alert, with what was said to an answer or a photo."""
    found = desk.shown.alert(number)
    if found is None:
        raise HTTPException(404)
    look = desk.shown.look()
    log = desk.shown.log(number)
    told = story(found, log, look.rules, look.farm, look.alerts, desk.shown.log(kind="answer"), desk.words())
    return desk.page(
        "alert.html",
        visitor,
        status,
        look=look,
        tab="now",
        alert=found,
        story=told,
        said=said,
        photos=[one.entry for one in log if one.entry.kind == "photo"],
        pictures=alert_pictures(found, _rows(desk, look, desk.shown.alerts_of(*_related(found)))),
        put_off=_put_off(look),
        others=[name for name in look.people if name != visitor.person],
        note_length=NOTE_LENGTH,
    )


def _rows(desk: Desk, look: Look, alerts: tuple[Alert, ...]) -> Rows:
    """What charts are drawn from."""
    return Rows(look.tables, look.rules, alerts, look.farm.zone, desk.words(), look.at)


def _related(alert: Alert) -> list[str]:
    """The subjects whose alerts belong on the charts of one alert: its own, and a cow's with her quarters'."""
    if kind_of(alert.subject) not in ("cow", "quarter"):
        return [alert.subject]
    cow = name_of(alert.subject).partition("/")[0]
    return [f"cow:{cow}", *(f"quarter:{cow}/{quarter}" for quarter in QUARTERS)]


def _put_off(look: Look) -> list[tuple[int, int]]:
    """Moments to put an alert off until: as (moment, hours from now or 0 for the next round)."""
    rounds = _next_rounds(look)
    return [*((look.at + hours * HOUR_S, hours) for hours in (1, 3)), *((then, 0) for then in rounds)]


def _next_rounds(look: Look) -> list[int]:
    """When the next two rounds begin."""
    today = Words("en", ".", look.farm.zone).local(look.at).date()
    starts = (
        moment(today + timedelta(days=n), one.hour * 60 + one.minute, look.farm.zone)
        for n in range(3)
        for one in look.farm.rounds
    )
    return sorted(then for then in starts if then > look.at + 900)[:2]


def _round(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look = desk.shown.look()
    page = worklist(look.alerts, look.tables, look.rules, look.farm, look.at)
    return desk.page(
        "round.html", visitor, look=look, tab="round", page=page, by_id=_by_id(look), said=_said(desk, visitor, request)
    )


def _print(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look = desk.shown.look()
    page = worklist(look.alerts, look.tables, look.rules, look.farm, look.at)
    return desk.page("print.html", visitor, look=look, tab="round", page=page, by_id=_by_id(look))


def _cow(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look, cow = desk.shown.look(), request.path_params["cow"]
    alerts = desk.shown.alerts_of(f"cow:{cow}", *(f"quarter:{cow}/{quarter}" for quarter in QUARTERS))
    page = cow_page(cow, look.tables, alerts, look.farm.zone, look.at)
    _known(page.known)
    drawn = cow_pictures(page, _rows(desk, look, alerts))
    return desk.page("cow.html", visitor, look=look, tab="find", page=page, quarters=QUARTERS, pictures=drawn)


def _quarter(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look, cow, quarter = desk.shown.look(), request.path_params["cow"], request.path_params["quarter"]
    _known(quarter in QUARTERS)
    alerts = desk.shown.alerts_of(f"quarter:{cow}/{quarter}")
    page = quarter_page(cow, quarter, look.tables, alerts, look.at)
    _known(bool(page.readings or page.marks))
    drawn = quarter_pictures(cow, quarter, _rows(desk, look, alerts))
    return desk.page("quarter.html", visitor, look=look, tab="find", page=page, pictures=drawn)


def _box(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look, box = desk.shown.look(), request.path_params["box"]
    chores = (f"chore:{one.name}/{one.place}" for one in look.farm.chores if one.place == box)
    alerts = desk.shown.alerts_of(f"box:{box}", *chores)
    page = box_page(box, look.tables, alerts, look.rules, look.farm.zone, look.at)
    _known(page.known)
    drawn = box_pictures(box, _rows(desk, look, alerts))
    return desk.page("box.html", visitor, look=look, tab="find", page=page, pictures=drawn)


def _tank(desk: Desk, visitor: Visitor, request: Request) -> Response:
    look, tank = desk.shown.look(), request.path_params["tank"]
    alerts = desk.shown.alerts_of(f"tank:{tank}")
    page = tank_page(tank, look.tables, alerts, look.rules, look.at)
    _known(page.known)
    drawn = tank_pictures(page, _rows(desk, look, alerts))
    return desk.page("tank.html", visitor, look=look, tab="find", page=page, pictures=drawn)


def _known(known: bool) -> None:
    if not known:
        raise HTTPException(404)


def _find(desk: Desk, visitor: Visitor, request: Request) -> Response:
    asked = request.query_params.get("q", "").strip()[:40]
    look, say = desk.shown.look(), desk.words().texts.gettext
    kinds = ((say("cow"), "cow"), (say("box"), "box"), (say("tank"), "tank"))
    found = find(asked, look.tables, words=kinds) if asked else None
    if found is not None and found.exact is not None and len(found.links) == 1:
        response = RedirectResponse(f"/{found.exact.page}/{found.exact.name}", 303, HEADERS)
        desk.keep(response, visitor)
        return response
    tanks = sorted({str(tank) for tank in look.tables.tank["tank"].unique()})
    return desk.page("find.html", visitor, look=look, tab="find", found=found, asked=asked, tanks=tanks)


def _more(desk: Desk, visitor: Visitor, request: Request) -> Response:
    return desk.page("more.html", visitor, tab="more")


NOT_KEPT = "not-kept"
"""The detail of a 503: the store took nothing, as its disk is full or another process holds it."""


def failed(desk: Desk, request: Request, status: int, detail: str = "") -> Response:
    """What is said instead of a page, in plain words."""
    say = desk.words().texts.gettext
    shows = {
        400: (
            say("This was not taken"),
            say("It could not be read. Go back and tap one of the answers."),
        ),
        401: (
            say("Who are you?"),
            say("Nothing is shown here without a link of your own. Open the one you were given, or one in a notice."),
            say('On the farm\'s computer, "sentinel people link NAME" makes one.'),
        ),
        403: (
            say("This was not taken"),
            say("It was sent from another page, or the page had grown old. Open it again and answer there."),
        ),
        404: (
            say("This link does not open anything"),
            say("It may have been cut short when it was copied, or what it names is not known here."),
            say('On the farm\'s computer, "sentinel alerts" shows everything that stands.'),
        ),
        405: (say("This page cannot do that"), say("Open the link in the notice and answer there.")),
        410: (
            say("This link is too old"),
            say("A notice's link can be used for 14 days, unless it was withdrawn. Use the one in a newer notice."),
            say('On the farm\'s computer, "sentinel alerts" shows everything that stands.'),
        ),
        413: (say("This was not taken"), say("It is too long. Go back and write a shorter note.")),
        429: (say("Too many links that open nothing"), say("Wait ten minutes, then open your own link again.")),
        500: (
            say("Something went wrong here"),
            say("Your answer may not have been taken. Open the link in the notice again to see."),
        ),
        503: (
            say("Too many photos at once"),
            say("Others are being received just now. Send yours again in a minute."),
        ),
    }
    if detail == "read-only":
        title, *lines = say("You may look only"), say("Your link does not let you answer. Ask whoever gave it to you.")
    elif detail == NOT_KEPT:
        title, *lines = (
            say("This was not saved"),
            say("The farm's computer cannot write anything down just now. Send it again in a few minutes."),
        )
    else:
        title, *lines = shows.get(status, shows[500])
    visitor = desk.session_of(request) if status != 500 else None
    return desk.say(title, *lines, status=status, visitor=visitor)
