"""`alerts`: what stands, and what of the exports was set aside."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, AsJson, FarmDir, err, now, open_farm, out, print_json
from sentinel.edges.locales import words_of
from sentinel.edges.store.alerts import all_alerts, standing_alerts
from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.edges.store.history import last_tick
from sentinel.flow.language import shown_time
from sentinel.flow.model import kind_of
from sentinel.flow.notices import course_words
from sentinel.flow.views.for_programs.attention import attention_collection, own_scheme
from sentinel.flow.views.parts.records import alert_record, answer_words, by_walk


def alerts(
    folder: FarmDir = HERE,
    every: Annotated[bool, typer.Option("--all", help="Alerts that are over, too.")] = False,
    as_json: AsJson = False,
    as_ade: Annotated[
        bool, typer.Option("--ade", help="Those about animals as an ICAR ADE collection, for a herd program.")
    ] = False,
) -> None:
    """Open alerts, in the order you walk, and what was set aside from the exports."""
    with open_farm(folder) as yard:
        store, zone, at = yard.store, yard.setup.farm.zone, now()
        words = words_of(yard.setup.farm)
        listed = by_walk(all_alerts(store) if every else standing_alerts(store))
        if as_ade:
            farm = yard.setup.farm
            scheme = farm.animal_scheme or own_scheme(farm.name)
            collection, others = attention_collection(listed, yard.setup.rules, scheme, at)
            print_json([collection])
            if others:
                kinds = ", ".join(sorted({kind_of(alert.subject) for alert in others}))
                sentence = f"{len(others)} left out ({kinds}): the standard has attention events about animals alone."
                err.print(sentence)
            return
        if as_json:
            print_json(alert_record(alert) for alert in listed)
            return
        whole = len(listed)
        listed = [alert for alert in listed if every or alert.listed]
        if listed:
            rows = []
            for alert in listed:
                since = shown_time(alert.since, at, zone)
                ended = "" if alert.over_at is None else f"over {shown_time(alert.over_at, at, zone)}"
                what = "; ".join([alert.text, *course_words(alert, words)])
                pressing = f"{alert.urgency}, eased" if alert.eased else alert.urgency
                rows.append((str(alert.id), ended or pressing, what, since, answer_words(alert, at, zone)))
            out.table(("id", "", "what", "since", "answered"), rows)
            if len(listed) < whole:
                out.print(f"{whole - len(listed)} more are part of a quiet feed's alert: --all shows them.")
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
