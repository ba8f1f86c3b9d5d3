"""What is said instead of a page, in plain words: to a stranger, to what cannot be read, and where something failed."""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable, Mapping
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from sentinel.edges.web.auth.visitors import NO_TUNING, OWN_LINK, READ_ONLY, session_of
from sentinel.edges.web.site import Site
from sentinel.edges.web.templating import message

log = logging.getLogger("sentinel.page")

NOT_KEPT = "not-kept"
"""The detail of a 503: the store took nothing, as its disk is full or another process holds it."""


def handlers(site: Site) -> Mapping[Any, Callable[[Request, Exception], Response]]:
    """What is answered to each kind of failure."""

    def failed(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        detail = error.detail if isinstance(error, HTTPException) else ""
        return refusal(site, request, status, detail)

    def not_written(request: Request, error: Exception) -> Response:
        log.error("%s %s was not kept: %s", request.method, request.scope["path"].split("/")[1], error)
        return refusal(site, request, *((503, NOT_KEPT) if request.method == "POST" else (500,)))

    return {HTTPException: failed, sqlite3.OperationalError: not_written, Exception: failed}


def refusal(site: Site, request: Request, status: int, detail: str = "") -> Response:
    """What is said instead of a page, in plain words."""
    say = site.words().say
    shows = {
        400: (
            say("This was not accepted"),
            say("It could not be read. Go back and tap one of the answers."),
        ),
        401: (
            say("Who are you?"),
            say("Nothing is shown here without a link of your own. Open the one you were given, or one in a notice."),
            say('On the farm\'s computer, "sentinel people link NAME" makes one.'),
        ),
        403: (
            say("This was not accepted"),
            say("It was sent from another page, or the page was too old. Open it again and answer there."),
        ),
        404: (
            say("This link does not work"),
            say("It may have been cut short when it was copied, or it names something that is not known here."),
            say('On the farm\'s computer, "sentinel alerts" shows every open alert.'),
        ),
        405: (say("This page cannot do that"), say("Open the link in the notice and answer there.")),
        410: (
            say("This link is too old"),
            say("A notice's link works for 14 days, unless it was withdrawn. Use the one in a newer notice."),
            say('On the farm\'s computer, "sentinel alerts" shows every open alert.'),
        ),
        413: (say("This was not accepted"), say("It is too long. Go back and write a shorter note.")),
        429: (say("Too many links that did not work"), say("Wait ten minutes, then open your own link again.")),
        500: (
            say("Something went wrong here"),
            say("Your answer may not have been taken. Open the link in the notice again to see."),
        ),
        503: (
            say("Too many photos at once"),
            say("Other photos are coming in just now. Send yours again in a minute."),
        ),
    }
    if detail == READ_ONLY:
        title, *lines = say("View only"), say("Your link does not let you answer. Ask the person who gave it to you.")
    elif detail == OWN_LINK:
        title, *lines = (
            say("Your own link is needed"),
            say("The link in a notice is not enough to change a rule. Open the link that you were given yourself."),
        )
    elif detail == NO_TUNING:
        title, *lines = (
            say("You may not change rules"),
            say('Who may has "tunes: yes" in people.yaml. Ask the person who looks after this page.'),
        )
    elif detail == NOT_KEPT:
        title, *lines = (
            say("This was not saved"),
            say("The farm's computer cannot write anything down just now. Send it again in a few minutes."),
        )
    else:
        title, *lines = shows.get(status, shows[500])
    visitor = session_of(site, request) if status != 500 else None
    return message(site, title, *lines, status=status, visitor=visitor)
