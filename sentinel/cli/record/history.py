"""`history`: what happened."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, AsJson, FarmDir, now, open_farm, out, print_json
from sentinel.edges.store import Store
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.log import log_entries
from sentinel.errors import UsageError
from sentinel.flow.rules.quantities import parse_quantity
from sentinel.flow.views.for_programs.csv_text import csv_text
from sentinel.flow.views.parts.records import HISTORY_COLUMNS, history_record, history_row


def history(
    folder: FarmDir = HERE,
    since: Annotated[str, typer.Option(help='From this time: "2026-05-13 14:00", or "6 h" ago.')] = "",
    until: Annotated[str, typer.Option(help="Up to this time (a day means its end).")] = "",
    rule: Annotated[str | None, typer.Option(help="Only for this rule.")] = None,
    subject: Annotated[str | None, typer.Option(help="Only about this: box:2, cow:217.")] = None,
    person: Annotated[str | None, typer.Option(help="Only by or to this person.")] = None,
    kind: Annotated[str | None, typer.Option(help="Only entries of this kind: raised, answer, notice ...")] = None,
    alert: Annotated[int | None, typer.Option(help="The whole story of one alert.")] = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="For a spreadsheet; no cell can start a formula.")] = False,
    as_json: AsJson = False,
) -> None:
    """The log: all that was raised, told, answered, ended, read, corrected or changed."""
    with open_farm(folder) as yard:
        zone, at = yard.setup.farm.zone, now()
        end = end_of(until, at, zone) if until else None
        begin = moment_of(since, at, zone) if since else None
        entries = log_entries(
            yard.store, alert=alert, kind=kind, rule=rule, subject=subject, person=person, since=begin, until=end
        )
        if as_json:
            print_json(history_record(one) for one in entries)
        elif as_csv:
            out.document(csv_text(HISTORY_COLUMNS, (history_row(one, zone, None) for one in entries)))
        else:
            out.table(HISTORY_COLUMNS, (history_row(one, zone, at) for one in entries))


def until_now(store: Store, at: int) -> int:
    """The moment before which all is that has happened: the last tick may stand some seconds ahead of the clock."""
    return max(at, last_tick(store) or 0) + 1


def end_of(text: str, at: int, zone: str) -> int:
    """The moment before which a span ends, as people write it: a day means its end."""
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return moment_of(text, at, zone)
    moment_of(text, at, zone)  # a day that there is not is refused as any other moment
    day = datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)) + timedelta(days=1)
    return int(day.timestamp())


def moment_of(text: str, at: int, zone: str) -> int:
    """A moment as people write it: `2026-05-13`, `2026-05-13 14:00`, or a time ago such as `2 d` or `6 h`.

    Raises UsageError with what would be right.
    """
    try:
        return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).timestamp())
    except ValueError:
        pass
    try:
        return at - round(parse_quantity(re.sub(r"\s*ago$", "", text), "s"))
    except ValueError as error:
        raise UsageError(f'{text!r} is no moment; write "2026-05-13 14:00", "2026-05-13" or "6 h" (ago)') from error
