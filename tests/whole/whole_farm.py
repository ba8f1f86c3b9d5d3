"""A small farm for tests: its settings as YAML, its exports as text tables, and an engine that lives through them.

Rows are written like `text_tables`: cells with two or more spaces between them, `-` for a missing value, times as
`06:00` or `1d06:00` counted from day 0. Between two ticks the farm wakes at every due moment, as the service does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import Any

from text_tables import lines, moment, moment_text

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import put_settings
from sentinel.edges.store.inputs import put_answer, put_chore, put_delivery, waiting_inputs
from sentinel.edges.store.log import log_entries
from sentinel.flow.model import Answer, Batch, Chore, Delivery, Export, Problem, Rows, SetAside, Tick, TickKind
from sentinel.flow.replay import Raised
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import QUARTER_VALUES, Column, table_named, wide
from sentinel.runtime.engine import Engine, Stepped
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.runtime.ticks import batch_of

SHIPPED = Path(__file__).parents[2] / "rules"

FARM = """
name: Tinfield
zone: UTC
boxes: ["1", "2"]
chores:
  filter: {places: boxes, event: filter_changed}
  wire: {places: [east]}
"""

FEED = """
feed: milkings
files: "milkings_*.csv"
form: delimited
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    outcome: {column: Ended, words: {milked: milked, failed: failed}}
"""

LATE_COW = """
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  where: {status: milking}
  urgency: round
  say: "Cow {cow} not milked for {value}"
"""

FEED_QUIET = """
- rule: feed-quiet
  measure: feed_quiet_min
  raise_over: 90 min
  urgency: now
  say: "Feed {feed}: no new rows for {value}"
"""

BOX_FAILURES = """
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 2 failures
  urgency: now
  say: "Box {box}: {value} of {visits}"
"""

BOX_LOG_FEED = """
feed: boxlog
files: "boxlog_*.csv"
form: delimited
tables:
  box_log:
    box: Box
    at: At
    event: {column: Event, words: {filter: filter_changed, wash: washed}}
"""

HERD_FEED = """
feed: herd
files: "herd_*.csv"
form: delimited
pace: daily
tables:
  cows:
    cow: Cow
    from: Since
    group: Group
    milkings_allowed: {column: Visits, unit: 1/d}
    status: {column: Status, words: {milking: milking, dry: dry}}
"""


def shipped_rules() -> dict[str, str]:
    """The rules that ship, as texts of a farm folder."""
    return {f"rules/{path.name}": path.read_text(encoding="utf-8") for path in sorted(SHIPPED.glob("*.yaml"))}


def setup_of(
    rules: str | Mapping[str, str],
    feeds: Iterable[str] = (FEED,),
    farm: str = FARM,
    people: str = "",
) -> Setup:
    """Settings from YAML texts; a test's own fault shows as an assertion."""
    texts = {"farm.yaml": farm, **({"rules/rules.yaml": rules} if isinstance(rules, str) else rules)}
    texts |= {f"feeds/{number}.yaml": text for number, text in enumerate(feeds)}
    if people:
        texts["people.yaml"] = people
    setup, problems = read_setup(texts)
    assert [str(problem) for problem in problems] == []
    assert setup is not None
    return setup


def rows_of(table: str, text: str) -> Rows:
    """Rows of one table from a text table; `visits` may have wide quarter columns, any table `modified`, `deleted`."""
    head, *cells = lines(text)
    values = tuple(tuple(_value(table, name, cell) for name, cell in zip(head, row, strict=True)) for row in cells)
    return Rows(table, tuple(head), values, tuple(range(2, 2 + len(values))))


def _value(table: str, name: str, cell: str) -> Any:
    if cell == "-":
        return None
    if name == "modified":
        return moment(cell)
    if name == "deleted":
        return cell == "yes"
    kind = _column(table, name).kind
    if kind in ("time", "date"):
        return moment(cell)
    if kind == "flag":
        return cell == "yes"
    return int(cell) if kind == "count" else float(cell) if kind == "number" else cell


def _column(table: str, name: str) -> Column:
    if table == "visits" and any(name in wide(value) for value in QUARTER_VALUES):
        return table_named("quarters").column(name.partition("_")[2])
    return table_named(table).column(name)


def batch(
    text: str,
    table: str = "visits",
    *,
    feed: str = "milkings",
    file: str = "milkings_1.csv",
    set_aside: tuple[SetAside, ...] = (),
    until: str | None = None,
) -> Batch:
    """What one export gave, from a text table; `until` is its stamp."""
    rows = (rows_of(table, text),) if text.strip() else ()
    return Batch(feed, file, rows, set_aside, None if until is None else moment(until))


class Life:
    """A farm lived through tick by tick over a store in memory, or over one that is given."""

    def __init__(self, setup: Setup, store: Store | None = None, *, begin: str | None = "00:00") -> None:
        self.store = store or Store(None)
        self.engine = Engine(self.store, setup)
        self.due: int | None = None
        self.steps: list[Stepped] = []
        if begin is not None:
            self.at(begin, kind=TickKind.START)

    def at(
        self,
        when: str | int,
        *batches: Batch,
        kind: TickKind = TickKind.RUN,
        answers: tuple[Answer, ...] = (),
        chores: tuple[Chore, ...] = (),
        deliveries: tuple[Delivery, ...] = (),
    ) -> Stepped:
        """Live on to a moment, waking at every due one on the way, and take what comes then."""
        now = moment(when) if isinstance(when, str) else when
        while self.due is not None and self.due < now:
            self._step(Tick(self.due))
        for answer in answers:
            put_answer(self.store, answer)
        for chore in chores:
            put_chore(self.store, chore)
        for delivery in deliveries:
            put_delivery(self.store, delivery)
        waiting = waiting_inputs(self.store)
        return self._step(Tick(now, kind, batches, *waiting))

    def _step(self, tick: Tick) -> Stepped:
        put_settings(self.store, tick.at, self.engine.setup.texts)
        stepped = self.engine.step(tick)
        self.due = stepped.due
        self.steps.append(stepped)
        return stepped

    def restart(self, setup: Setup | None = None) -> None:
        """Begin again with nothing in memory; the next tick should be one of kind START."""
        self.engine = Engine(self.store, setup or self.engine.setup)
        self.due = None

    @property
    def alerts(self) -> list[list[str]]:
        """Every alert so far as a text table."""
        return alert_table(live_alerts(self.store))

    @property
    def told_again(self) -> list[list[str]]:
        """Every alert as a replay of what was known when gives it back."""
        return alert_table(as_arrived(self.store, read=_read_once))

    def log(self, *kinds: str) -> list[str]:
        """The entries of some kinds as `time kind subject`, in order."""
        return [
            f"{moment_text(one.entry.at)} {one.entry.kind} {one.entry.rule} {one.entry.subject}".replace(
                "  ", " "
            ).strip()
            for one in log_entries(self.store)
            if one.entry.kind in kinds
        ]


_read: dict[tuple[tuple[str, str], ...], tuple[Setup | None, list[Problem]]] = {}


def lived_through(setup: Setup, texts: Mapping[str, str], files: Sequence[tuple[int, str, bytes]]) -> Store:
    """The store in memory after every export was read when it came, woken at every due moment between.

    `files`: when each came (UTC seconds, in order), its name and its content.
    """
    store = Store(None)
    put_settings(store, files[0][0], texts)
    engine = Engine(store, setup)
    due, kind = None, TickKind.START
    for at, some in groupby(files, key=itemgetter(0)):
        while due is not None and due < at:
            due = engine.step(Tick(due)).due
        exports = [Export(name, content, at) for _, name, content in some]
        batches = tuple(batch for export in exports if (batch := batch_of(setup, export)) is not None)
        due = engine.step(Tick(at, kind, batches)).due
        kind = TickKind.RUN
    return store


def _read_once(texts: Mapping[str, str]) -> tuple[Setup | None, list[Problem]]:
    """Settings read from their texts, the same texts only once: reading YAML is slow."""
    key = tuple(sorted(texts.items()))
    if key not in _read:
        _read[key] = read_setup(texts)
    return _read[key]


HEAD = "rule subject raised over urgency value"


def alert_table(raised: Iterable[Raised]) -> list[list[str]]:
    """Alerts as the cells of a text table."""
    rows = [
        [
            one.rule,
            one.subject,
            moment_text(one.raised_at),
            "-" if one.over_at is None else moment_text(one.over_at),
            one.urgency,
            "-" if one.value is None else f"{one.value:.3f}".rstrip("0").rstrip("."),
        ]
        for one in raised
    ]
    return [HEAD.split(), *sorted(rows, key=lambda row: (row[2], row))]


def alerts(text: str) -> list[list[str]]:
    """The expected alerts, written as a text table."""
    head, *rows = lines(text)
    return [head, *sorted(rows, key=lambda row: (row[2], row))]


CAME_BY = ("first_file", "first_line", "told_by", "apart")


def measured(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """What the store holds of the exports: every column of every row except by which file and feeds it came."""
    found = {}
    for name in ("visits", "box_log", "cows", "tank", "cow_tests"):
        columns = [r["name"] for r in fetch(store, f"pragma table_info('{name}')") if r["name"] not in CAME_BY]
        listed = ", ".join(f'"{column}"' for column in columns)
        found[name] = sorted((tuple(r) for r in fetch(store, f'select {listed} from "{name}"')), key=repr)
    return found
