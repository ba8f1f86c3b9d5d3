"""What the demo prints while the week goes by: the phones' notices, and one line for whatever else happens."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from sentinel.demo.phone import Message, as_phone
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_with
from sentinel.edges.store.log import entries_after
from sentinel.edges.terminal import Screen
from sentinel.flow.language import english
from sentinel.flow.model import Entry, Notice
from sentinel.flow.views.parts.records import what_words
from sentinel.flow.visible import visible

FOLDED = ("handed-on", "reminder", "over", "worklist", "digest")
"""Kinds of notice of which only the first is shown whole; of the others one line."""

URGENCY_LINES = {"round": "waits for the round", "log": "log only"}


class Teller:
    """Prints a farm's news in order; every figure comes from the store or from what reached the phone."""

    def __init__(self, console: Screen, store: Store, zone: str) -> None:
        self._console = console
        self._store = store
        self._zone = ZoneInfo(zone)
        self._zone_name = zone
        self._told = 0
        self._day = ""
        self._whole: set[str] = set()

    def _heading(self, at: int) -> None:
        """A heading before the first thing of a new day."""
        then = datetime.fromtimestamp(at, self._zone)
        day = f"{then:%A} {then.day} {then:%B}"
        if day != self._day:
            self._day = day
            self._console.print()
            self._console.rule(Text(day, style="bold"), align="left", style="dim")

    def line(self, at: int, what: str, text: str, style: str = "dim") -> None:
        """One line: when, what kind of thing, and its words."""
        self._heading(at)
        then = datetime.fromtimestamp(at, self._zone)
        grid = Table.grid(padding=(0, 2))
        grid.add_column(no_wrap=True)
        grid.add_column()
        line_text = Text(f"{visible(what)}: ", style=style).append(visible(text), style="dim")
        grid.add_row(Text(f"{then:%H:%M}", style="dim"), line_text)
        self._console.print(grid)

    def news(self) -> None:
        """What the log has gained, as far as no phone or person tells it."""
        for logged in entries_after(self._store, self._told):
            self._told = logged.seq
            self._entry(logged.entry)

    def _entry(self, entry: Entry) -> None:
        match entry.kind:
            case "raised":
                [alert] = alerts_with(self._store, [entry.alert or 0])
                if alert.urgency in URGENCY_LINES:
                    self.line(entry.at, URGENCY_LINES[alert.urgency], str(entry.body.get("text", alert.text)))
            case "over":
                [alert] = alerts_with(self._store, [entry.alert or 0])
                self.line(entry.at, "over", f"{alert.rule}, {alert.subject.replace(':', ' ')}", "green")
            case "correction":
                cow = entry.subject.replace(":", " ")
                self.line(entry.at, "corrected", f"{cow}, {what_words(entry, english(self._zone_name))}", "yellow")
            case "problem" | "rules-broken" | "gave-up":
                self.line(entry.at, entry.kind, what_words(entry, english(self._zone_name)), "red")
            case _:
                pass

    def messages(self, arrived: Iterable[tuple[Message, Notice]]) -> None:
        """What reached the phones: an alert whole, of every other kind the first whole and then one line each."""
        for message, notice in arrived:
            if notice.kind in FOLDED and notice.kind in self._whole:
                self.line(message.at, f"{message.to}'s phone", message.title, "cyan")
                continue
            self._whole.add(notice.kind)
            self._heading(message.at)
            self._console.print(Padding(as_phone(message, self._zone_name), (0, 0, 0, 7)))
