"""The log, chosen and looked through; what is chosen of it can be taken along."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date, timedelta
from urllib.parse import urlencode

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.request_context import RequestContext
from sentinel.edges.web.request_input import whole
from sentinel.flow.alerts.chain import ENTRY_KINDS, Logged
from sentinel.flow.model import DAY_S
from sentinel.flow.settings.people import moment
from sentinel.flow.views.for_programs.csv_text import csv_text
from sentinel.flow.views.history import Choice, chosen, history_page
from sentinel.flow.views.parts.records import HISTORY_COLUMNS, history_record, history_row, what_words

BACK_DAYS = 14
"""So many days of the log are shown if no first day is chosen."""

QUIET = ("start", "stop", "read", "delivered", "notice", "reminder", "correction", "held-back", "let-through")
"""Kinds of entry that are left out unless they, or everything, are chosen: there are hundreds of them a day."""

YEARS = range(1970, 2200)
"""Days are looked for in these years; at the ends of the calendar a day more, or a zone, is past it."""

FIELDS = ("from", "to", "kind", "subject", "person", "finding", "rule", "alert")
"""What the log may be chosen by, as the address says it."""


def show(context: RequestContext) -> Response:
    """The log, chosen and the newest first; of one alert its whole story in order."""
    asked, zone, words = _asked(context.request), context.reader.farm().zone, context.words
    choice, entries = _choice(asked, zone), _entries(context, asked, zone)
    query = {name: value for name, value in asked.items() if value}
    return context.page(
        page=history_page(entries, choice),
        kinds=ENTRY_KINDS,
        asked=asked,
        query=urlencode(query),
        what=lambda logged: what_words(logged.entry, words, logged.reason),
        first_day=words.local(_first(context, asked, zone)).date().isoformat(),
    )


def csv_file(context: RequestContext) -> Response:
    """What is chosen of the log, for a spreadsheet."""
    asked, zone = _asked(context.request), context.reader.farm().zone
    rows = (history_row(one, zone, None) for one in chosen(_entries(context, asked, zone), _choice(asked, zone)))
    return _download(csv_text(HISTORY_COLUMNS, rows), "text/csv", "history.csv")


def json_file(context: RequestContext) -> Response:
    """What is chosen of the log, for a program: one object a line would be longer to read, so it is a list."""
    asked, zone = _asked(context.request), context.reader.farm().zone
    records = [history_record(one) for one in chosen(_entries(context, asked, zone), _choice(asked, zone))]
    return _download(json.dumps(records, ensure_ascii=False, indent=1), "application/json", "history.json")


def _download(text: str, kind: str, name: str) -> Response:
    headers = {**HEADERS, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=f"{kind}; charset=utf-8", headers=headers)


def _asked(request: Request) -> dict[str, str]:
    """What the address chooses, each a short text."""
    return {name: request.query_params.get(name, "").strip()[:200] for name in FIELDS}


def _choice(asked: Mapping[str, str], zone: str) -> Choice:
    """The choice that an address makes; HTTPException 400 for a day or a number that is none."""
    try:
        return Choice(
            since=_day(asked["from"], zone),
            until=None if not asked["to"] else (_day(asked["to"], zone, 1) or 0) - 1,
            kind="" if asked["kind"] == "all" else asked["kind"],
            subject=asked["subject"],
            person=asked["person"],
            finding=asked["finding"],
            rule=asked["rule"],
            alert=whole(asked["alert"]) if asked["alert"] else None,
        )
    except ValueError as error:
        raise HTTPException(400) from error


def _day(text: str, zone: str, days_after: int = 0) -> int | None:
    """The moment at which a day begins on the farm's clock; None for no day. ValueError for one that is none."""
    if not text:
        return None
    day = date.fromisoformat(text)
    if day.year not in YEARS:
        raise ValueError(f"no farm's log has anything from {day.year}")
    return moment(day + timedelta(days=days_after), 0, zone)


def _first(context: RequestContext, asked: Mapping[str, str], zone: str) -> int:
    """From when on the log is looked through."""
    since = _choice(asked, zone).since
    return context.site.now() - BACK_DAYS * DAY_S if since is None else since


def _entries(context: RequestContext, asked: Mapping[str, str], zone: str) -> list[Logged]:
    """The part of the log that is looked through: one alert's, or all from the first day on."""
    choice = _choice(asked, zone)
    if choice.alert is not None:
        return context.reader.log(choice.alert)
    entries = context.reader.log(since=_first(context, asked, zone))
    return entries if asked["kind"] else [one for one in entries if one.entry.kind not in QUIET]
