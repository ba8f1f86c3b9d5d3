"""`alerts`, `history`, `verify`: what stands, what happened, and the proof that nothing was changed."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, AsJson, FarmDir, app, now, open_farm, open_store, out, print_json
from sentinel.edges.locales import words_of
from sentinel.edges.store.alerts import all_alerts, standing_alerts
from sentinel.edges.store.feeds import feed_state, rows_set_aside
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.log import entry_with, log_entries
from sentinel.errors import UsageError
from sentinel.flow.language import shown_time
from sentinel.flow.notices import course_words
from sentinel.flow.rules import parse_quantity
from sentinel.flow.views.parts.csv_text import csv_text
from sentinel.flow.views.parts.records import (
    HISTORY_COLUMNS,
    alert_record,
    answer_words,
    by_walk,
    history_record,
    history_row,
    rfc3339,
)


@app.command()
def alerts(
    folder: FarmDir = HERE,
    every: Annotated[bool, typer.Option("--all", help="Also those that are over.")] = False,
    as_json: AsJson = False,
) -> None:
    """What stands now, in the order you walk, and what of the exports was set aside."""
    with open_farm(folder) as yard:
        store, zone, at = yard.store, yard.setup.farm.zone, now()
        words = words_of(yard.setup.farm)
        found = by_walk(all_alerts(store) if every else standing_alerts(store))
        if as_json:
            print_json(alert_record(alert) for alert in found)
            return
        whole = len(found)
        found = [alert for alert in found if every or alert.listed]
        if found:
            rows = []
            for alert in found:
                since = shown_time(alert.since, at, zone)
                ended = "" if alert.over_at is None else f"over {shown_time(alert.over_at, at, zone)}"
                what = "; ".join([alert.text, *course_words(alert, words)])
                pressing = f"{alert.urgency}, eased" if alert.eased else alert.urgency
                rows.append((str(alert.id), ended or pressing, what, since, answer_words(alert, at, zone)))
            out.table(("id", "", "what", "since", "answered"), rows)
            if len(found) < whole:
                out.print(f"{whole - len(found)} more are part of a quiet feed's alert: --all shows them.")
        else:
            out.print("No open alerts." if last_tick(store) else "Nothing has been read yet; try `sentinel once`.")
        known = ", ".join(
            f"{feed} {'nothing yet' if until is None else shown_time(until, at, zone)}"
            for feed, (_, until) in feed_state(store).items()
        )
        if known:
            out.print(f"Known until: {known}.")
        for row in rows_set_aside(store):
            where = f"{row['file']}:{row['line']}" if row["line"] else row["file"]
            out.print(f"Set aside: {where}: {row['reason']}")
            if row["line"] and row["row"]:
                out.print(f"    {row['row'][:200]}", style="dim")


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


@app.command()
def history(
    folder: FarmDir = HERE,
    since: Annotated[str, typer.Option(help='From when: "2026-05-13 14:00", or "6 h" ago.')] = "",
    until: Annotated[str, typer.Option(help="Until when (a day means its end).")] = "",
    rule: Annotated[str | None, typer.Option(help="Only of this rule.")] = None,
    subject: Annotated[str | None, typer.Option(help="Only about this: box:2, cow:217.")] = None,
    person: Annotated[str | None, typer.Option(help="Only by or to this person.")] = None,
    kind: Annotated[str | None, typer.Option(help="Only of this kind: raised, answer, notice ...")] = None,
    alert: Annotated[int | None, typer.Option(help="The whole story of one alert.")] = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="For a spreadsheet; no cell can start a formula.")] = False,
    as_json: AsJson = False,
) -> None:
    """The log: everything that was raised, told, answered, ended, read, corrected or changed."""
    with open_farm(folder) as yard:
        zone, at = yard.setup.farm.zone, now()
        end = moment_of(until, at, zone) if until else None
        if end is not None and re.fullmatch(r"\d{4}-\d\d-\d\d", until):
            day = datetime.fromisoformat(until).replace(tzinfo=ZoneInfo(zone)) + timedelta(days=1)
            end = int(day.timestamp())
        begin = moment_of(since, at, zone) if since else None
        found = log_entries(
            yard.store, alert=alert, kind=kind, rule=rule, subject=subject, person=person, since=begin, until=end
        )
        if as_json:
            print_json(history_record(one) for one in found)
        elif as_csv:
            out.document(csv_text(HISTORY_COLUMNS, (history_row(one, zone, None) for one in found)))
        else:
            out.table(HISTORY_COLUMNS, (history_row(one, zone, at) for one in found))


@app.command()
def verify(folder: FarmDir = HERE) -> None:
    """Prove that the log is whole: no entry changed, taken out or put in; and that the store is not damaged."""
    with open_store(folder) as store:
        number, head = store.verify()
        last = entry_with(store, number)
        when = f" (the last of {rfc3339(last.entry.at)})" if last else ""
        out.print(f"The log is whole: {number} entries{when}.")
        out.print(f"Its last hash is {head}; noted elsewhere, it proves later that nothing before it was changed.")
