"""What the demo shows when its week is over: what stands, two stories from the log, what was set aside, the proof."""

from __future__ import annotations

from pathlib import Path

from rich.table import Table
from rich.text import Text

from sentinel.demo.afterwards import MESSAGES_NAME
from sentinel.demo.play import Played
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_of_rule, all_alerts, standing_alerts
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.rows import count_rows
from sentinel.edges.terminal import Screen
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.language import english, shown_time
from sentinel.flow.model import Alert, kind_of
from sentinel.flow.subjects import subject_words
from sentinel.flow.tables import VISITS
from sentinel.flow.views.parts.records import answer_words, by_walk, what_words

STORIES = ("box-failures", "quarter-conductivity", "filter-overdue")
TOLD = ("raised", "more-pressing", "notice", "reminder", "answer", "chore", "over")


def show(console: Screen, played: Played, zone: str) -> None:
    """Everything that is left of the week, in the order in which one would ask for it."""
    store, at = played.yard.store, played.at
    console.print()
    console.rule(Text("The week is over", style="bold"), align="left", style="dim")
    _count(console, played, store)
    _standing(console, store, at, zone)
    for rule in STORIES:
        for alert in (one for one in alerts_of_rule(store, rule) if one.answered or not one.standing):
            _story(console, store, alert, at, zone)
    _set_aside(console, store, at, zone)
    number, head = store.verify()
    console.print()
    console.print(f"verify  The log is whole: {number} entries, chained up to {head[:16]}…")


def _count(console: Screen, played: Played, store: Store) -> None:
    alerts = all_alerts(store)
    rang = sum(alert.urgency == "now" for alert in alerts)
    rows = count_rows(store, VISITS)
    console.print(
        f"{played.exports} exports read, {rows:,} visits in the store. {len(alerts)} alerts: {rang} went to a phone at "
        f"once, {len(alerts) - rang} waited for a round. {len(played.messages)} notices reached the phones."
    )


def _standing(console: Screen, store: Store, at: int, zone: str) -> None:
    """What stands now, as `sentinel alerts` shows it."""
    table = _table(console, "What still stands", "no", "what", "since", "answered")
    for alert in by_walk(standing_alerts(store)):
        since = shown_time(alert.since, at, zone)
        table.add_row(str(alert.id), alert.text, since, answer_words(alert, at, zone))
    console.print(table)


def _story(console: Screen, store: Store, alert: Alert, at: int, zone: str) -> None:
    """One alert from its raising to its end, as the log has it."""
    place = alert.subject.partition(":")[2]
    since, until, filters = alert.raised_at, (alert.over_at or at) + 1, f"chore:filter/{place}"
    chores = log_entries(store, kind="chore", subject=filters, since=since, until=until)
    entries = sorted([*log_entries(store, alert=alert.id), *chores], key=lambda logged: logged.seq)
    title = f"The story of alert {alert.id} ({alert.rule}, {subject_words(alert.subject)}), from the log"
    table = _table(console, title, "time", "kind", "who", "what")
    for logged in entries:
        if logged.entry.kind in TOLD:
            table.add_row(*_row(logged, at, zone))
    console.print(table)


def _row(logged: Logged, at: int, zone: str) -> tuple[str, str, str, str]:
    entry = logged.entry
    return shown_time(entry.at, at, zone), entry.kind, entry.person, what_words(entry, english(zone))


def _set_aside(console: Screen, store: Store, at: int, zone: str) -> None:
    """What could not be read, and what was corrected; nothing of it is lost."""
    table = _table(console, "Set aside: nothing of it is lost", "file", "line", "why")
    for row in rows_set_aside(store):
        table.add_row(row["file"], str(row["line"] or "whole"), str(row["reason"]))
    console.print(table)
    table = _table(console, "Corrected by a later export", "time", "of", "what")
    for logged in log_entries(store, kind="correction"):
        entry = logged.entry
        when = shown_time(entry.at, at, zone)
        table.add_row(when, subject_words(entry.subject), what_words(entry, english(zone)))
    console.print(table)


def _table(console: Screen, title: str, *headings: str) -> Table:
    console.print()
    table = Table(box=None, pad_edge=False, title=title, title_justify="left", title_style="bold")
    for heading in headings:
        table.add_column(heading, overflow="fold", header_style="dim")
    return table


def show_next(console: Screen, played: Played, kept: Path | None) -> None:
    """What to do next: with the demo's farm, if it was kept, and with one's own exports."""
    answered = [alert for alert in all_alerts(played.yard.store) if alert.answered]
    story = next((alert.id for alert in answered if kind_of(alert.subject) == "box"), 1)
    console.print()
    if kept is not None:
        _commands(
            console,
            f"The farm is kept in {kept}. Look around in it:",
            (f"sentinel alerts {kept}", "what stands, and what was set aside"),
            (f"sentinel history {kept} --alert {story}", "one alert's whole story"),
            (f"sentinel replay {kept} --set box-failures.raise_over='60 months'", "what another threshold would do"),
            (f"sentinel verify {kept}", "that nobody changed the log"),
            (f"sentinel people link Marit --farm {kept}", "a link of one's own to the page that `sentinel run` serves"),
        )
        sentence = f"  What the two phones got, with the links, is in {kept / MESSAGES_NAME}"
        console.print(sentence, style="dim", soft_wrap=True)
        console.print()
    else:
        console.print("`sentinel demo --keep DIR` leaves the farm folder there to look around in.", style="dim")
        console.print()
    _commands(
        console,
        "With your own exports:",
        ("sentinel init myfarm", "a farm folder with the rules that ship"),
        ("sentinel map EXPORT --farm myfarm > myfarm/feeds/milkings.yaml", "a first map, to read through and correct"),
        ("sentinel check myfarm", "what is still wrong, with its place"),
        ("sentinel once myfarm", "read what is there, decide, send, end"),
        ("sentinel run myfarm", "watch it day and night"),
    )


def _commands(console: Screen, heading: str, *commands: tuple[str, str]) -> None:
    console.print(heading, style="bold", soft_wrap=True)
    for command, why in commands:
        console.print(f"  {command}", style="cyan", soft_wrap=True)
        console.print(f"      {why}", style="dim")
