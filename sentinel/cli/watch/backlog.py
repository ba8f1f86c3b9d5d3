"""A look at many exports as a person sees it: a bar while it lasts, one table of the feeds at its end."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeElapsedColumn

from sentinel.edges.clock import Clock
from sentinel.edges.notifier import Outcome
from sentinel.edges.store.alerts import standing_alerts
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.outbox import next_delivery_at
from sentinel.edges.terminal import Screen
from sentinel.flow.language import shown_time
from sentinel.flow.views.parts.records import by_walk
from sentinel.runtime.events import Moved, Read
from sentinel.runtime.farm_folder import Farmyard

LINE_EVERY_S = 10.0
"""Where there is no terminal a line says so often how far it has come."""

SHOWN = 10
"""So many of the alerts that stand are named; `sentinel alerts` names all."""

MANY = 50
"""Of so many exports that come at once while the service watches not each one is said."""

SENT_AGAIN = "the next `once` tries again, and so does `run`"


@dataclass
class _Feed:
    """What was read of one feed."""

    files: int = 0
    rows: int = 0
    set_aside: int = 0


@dataclass
class Backlog:
    """Listens to a service while it reads what has come; once that is at its end, all is said as it happens.

    `console` shows how far it has come, `say` says all else. `verbose`: each export and each alert is said at once.
    """

    console: Screen
    say: Callable[[object], None]
    verbose: bool = False
    clock: Clock = field(default_factory=Clock)
    feeds: dict[str, _Feed] = field(default_factory=lambda: defaultdict(_Feed))
    _bar: Progress | None = None
    _task: TaskID | None = None
    _said_s: float = 0.0
    _ended: bool = False
    _left: int = 0

    def __post_init__(self) -> None:
        self._said_s = self.clock.steady()

    @property
    def files(self) -> int:
        """How many exports were read."""
        return sum(feed.files for feed in self.feeds.values())

    def hear(self, event: object) -> None:
        """What the service tells: an export is counted, an alert is left to the end, all else is said at once."""
        if isinstance(event, Read) and not self._ended:
            feed = self.feeds[event.feed]
            feed.files, feed.rows = feed.files + 1, feed.rows + event.rows
            feed.set_aside += event.set_aside
            if not self.verbose:
                self._show(event)
        elif isinstance(event, Read) and not self.verbose and self._is_of_many(event):
            return
        if self.verbose or self._ended or not isinstance(event, Read | Moved):
            self.say(event)

    def _is_of_many(self, read: Read) -> bool:
        """Whether an export is one of a further backlog, of which a line tells now and then how much is left."""
        if read.left < MANY and not self._left:
            return False
        if self.clock.steady() >= self._said_s + LINE_EVERY_S or not self._left or not read.left:
            self._said_s = self.clock.steady()
            self.say(f"{plural(read.left, 'export')} more to read")
        self._left = read.left
        return True

    def _show(self, read: Read) -> None:
        """How far it has come."""
        total = self.files + read.left
        if self.console.is_terminal:
            if self._bar is None or self._task is None:
                count = TextColumn("{task.completed} of {task.total} exports")
                columns = (TextColumn("{task.description}"), BarColumn(30), count, TimeElapsedColumn())
                self._bar = Progress(*columns, console=self.console, transient=True)
                self._task = self._bar.add_task("", total=total)
                self._bar.start()
            doing = "reading" if read.left else "deciding"
            self._bar.update(self._task, completed=self.files, total=total, description=doing)
        elif read.left and self.clock.steady() >= self._said_s + LINE_EVERY_S:
            self._said_s = self.clock.steady()
            self.console.print(f"read {self.files} of {total} exports")

    def end(self) -> None:
        """What had come is read: take the bar away, and say from here on what happens."""
        self._ended = True
        if self._bar is not None:
            self._bar.stop()
            self._bar = None

    def show(self, console: Screen, yard: Farmyard) -> None:
        """What was read, by feed, and what stands now."""
        at, zone = self.clock.now(), yard.setup.farm.zone
        known, counted = feed_state(yard.store), ("files", "rows", "set aside")
        rows = []
        for name in sorted({*self.feeds, *known, *(feed.feed for feed in yard.setup.feeds)}):
            feed, until = self.feeds.get(name, _Feed()), known[name][1] if name in known else None
            text = "nothing yet" if until is None else shown_time(until, at, zone)
            rows.append((name, *(f"{n:,}" for n in (feed.files, feed.rows, feed.set_aside)), text))
        if rows:
            console.table(("feed", *counted, "known until"), rows, right=counted)
        else:
            console.print("There is no feed map yet: `sentinel map` drafts one.")
        standing = [alert for alert in by_walk(standing_alerts(yard.store)) if alert.listed]
        if not standing:
            console.print("No open alerts." if known else "No open alerts, as nothing has been read yet.")
            return
        count = Counter(alert.urgency for alert in standing)
        text = ", ".join(f"{count[urgency]} {urgency}" for urgency in ("now", "round", "log") if count[urgency])
        console.print(f"Open alerts: {len(standing):,} ({text}).")
        first = sorted(standing, key=lambda alert: ("now", "round", "log").index(alert.urgency))[:SHOWN]
        for alert in first:
            console.print(f"  {alert.id}  {alert.urgency}  {alert.text}")
        if len(standing) > len(first):
            console.print(f"  and {len(standing) - len(first)} more: `sentinel alerts` shows them all")


def show_sent(console: Screen, yard: Farmyard, count: int, outcomes: Iterable[Outcome]) -> None:
    """What was sent, by channel and how it ended; `count`: of how many messages."""
    ended = Counter((one.channel, one.state, str(one.detail)) for one in outcomes)
    if not count:
        waits = next_delivery_at(yard.store) is not None
        late = f" just now; what did not arrive before waits for its next try: {SENT_AGAIN}" if waits else ""
        console.print(f"Nothing was to be sent{late}.")
    for (channel, state, detail), number in sorted(ended.items()):
        if state == "delivered":
            console.print(f"Sent by {channel}: {plural(number, 'notice')}.")
        else:
            sentence = f"Not sent by {channel}: {plural(number, 'notice')}: {detail}; {SENT_AGAIN}."
            console.print(sentence, style="bold red")
    if count > sum(ended.values()):
        late = plural(count - sum(ended.values()), "notice")
        console.print(f"Without an answer yet: {late}; {SENT_AGAIN}.", style="bold red")


def plural(count: int, what: str) -> str:
    """A number and its noun.

    >>> plural(1, "notice"), plural(1200, "alert")
    ('1 notice', '1,200 alerts')
    """
    return f"{count:,} {what}{'' if count == 1 else 's'}"
