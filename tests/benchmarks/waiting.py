"""From a closed export to the notice handed over, with a month and with five years in the store.

The service runs in this process, on a farm folder of its own, with its clock put to the year's end. An export with
one failed attachment of a new cow is renamed into its inbox, a rule rings for it, and a stand-in for the notifier
notes when the message is handed over to be sent. Everything else is what `sentinel run` does.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from statistics import median
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.edges.clock import Clock
from sentinel.edges.notifier import Message, Outcome
from sentinel.edges.settings import STORE_NAME, Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.log import append_entries
from sentinel.flow.model import DAY_S, HOUR_S, Entry
from sentinel.flow.reasons import Reason
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import MEASURED
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.service import Service
from sentinel.simulator.exports.visit_list import COLUMNS, ENCODING

from .figures import Figure
from .latency import RULE, ClockPutBack
from .year import Year

FIRST_COW = 90001
MONTH_S = 32 * DAY_S
PAUSE_S = 2.5
"""Between exports: a tick takes a second of its own, and what became of the message is another tick."""
PEOPLE = """\
- person: Marit
  channels: [phone]
  hours: always
  at_most: 500 per hour
"""


def waiting(folder: Path, path: Path, year: Year, times: int, told: Callable[[str], None]) -> list[Figure]:
    """Both stores' latencies: the long one beside the short one."""
    month, long = folder / "month", folder / "five_years"
    told("a store of a month")
    _shortened(path, month, year)
    first = _seconds(month, year, times)
    told("a store of five years")
    _lengthened(path, long, year)
    size = (long / STORE_NAME).stat().st_size / 1e6
    then = _seconds(long, year, times)
    return [
        Figure(
            f"closed export to notice, five years in the store ({size:.0f} MB)", then[0], "a month in it", first[0], 1.2
        ),
        Figure("first look after a start, five years in the store", then[1], "a month in it", first[1]),
    ]


class NotifierWhoNotes:
    """Stands in for the notifier: notes when each message was handed over, by its title's cow, and says it arrived."""

    def __init__(self, clock: Clock) -> None:
        self.handed: dict[str, float] = {}
        self._clock = clock

    def get_ready(self) -> None:
        """It is."""

    def send_all(self, messages: Iterable[Message], done: Callable[[Outcome], None]) -> None:
        """Note the messages."""
        for message in messages:
            self.handed.setdefault(message.title.split(":")[0], self._clock.steady())
            done(Outcome(message.notice, message.channel, "delivered", Reason("taken")))

    def finish(self, timeout_s: float) -> bool:
        """Nothing is ever under way."""
        return True

    def close(self) -> None:
        """Nothing to close."""


def _copied(path: Path, folder: Path, year: Year) -> Store:
    """A farm folder with a copy of the year's store."""
    (folder / "exports").mkdir(parents=True)
    store = Store(path)
    store.backup(folder / STORE_NAME)
    store.close()
    return Store(folder / STORE_NAME)


def _shortened(path: Path, folder: Path, year: Year) -> None:
    """Only the last month of it."""
    store = _copied(path, folder, year)
    with store.writing() as conn:
        for table in MEASURED:
            conn.execute(f'delete from "{table.name}" where "{table.happened}" < ?', (year.until - MONTH_S,))
    _with_a_past(store, year.until - MONTH_S, year.until)
    store.close()


def _lengthened(path: Path, folder: Path, year: Year) -> None:
    """Four more years before it, with the same rows."""
    store = _copied(path, folder, year)
    length = -(-(year.until - year.begin) // DAY_S) * DAY_S
    with store.writing() as conn:
        for table in MEASURED:
            names = [r["name"] for r in fetch(store, f"select name from pragma_table_info('{table.name}')")]
            shifted = ", ".join(f'"{n}" - ?' if n == table.happened else f'"{n}"' for n in names)
            for back in range(1, 5):
                conn.execute(
                    f'insert or ignore into "{table.name}" select {shifted} from "{table.name}" '
                    f'where "{table.happened}" >= ?',
                    (back * length, year.begin),
                )
    _with_a_past(store, year.until - 5 * length, year.until)
    store.close()


def _with_a_past(store: Store, begin: int, until: int) -> None:
    """What a service would have written beside the rows: a file, a tick and a log entry an hour, an alert every few."""
    hours = range(begin, until, HOUR_S)
    with store.writing() as conn:
        conn.executemany(
            "insert into files (feed, file, at, sha256, rows_read, rows_set_aside, reason, complete_until, newest) "
            "values ('milkings', 'hour_' || ?1, ?1, '', 60, 0, '', ?1, ?1)",
            [(at,) for at in hours],
        )
        conn.executemany("insert or ignore into ticks (at, kind) values (?, 'run')", [(at,) for at in hours])
        read = {"rows": 60, "new": 30}
        append_entries(store, [Entry(at, "read", subject="feed:milkings", body=read) for at in hours])
        conn.executemany(
            "insert into alerts (rule, subject, raised_at, since, urgency, text, value, facts, look_first, over_at, "
            "over_why, answered_by, finding, note, covered_by, again) values "
            "('late-cow', 'cow:' || ?2, ?1, ?1, 'round', 'late', 14.5, '{}', '[]', ?1 + 3600, '', '', '', '', '[]', 0)",
            [(at, n % 300) for n, at in enumerate(hours[::4])],
        )
        conn.execute("update alerts set incident = id where incident = 0")  # each is a trouble of its own, as then


def _seconds(folder: Path, year: Year, times: int) -> tuple[float, float]:
    """The median seconds from a rename to a message handed over, and those of the first look after the start."""
    setup = _setup_of(year, times)
    store = Store(folder / STORE_NAME)
    clock = ClockPutBack(year.until + HOUR_S)
    service = Service(
        Farmyard(folder, setup, Secrets({"phone": "json://127.0.0.1"}), store), clock, {}, heard=lambda said: None
    )
    notifier = NotifierWhoNotes(clock)
    service.outbox.notifier = notifier  # type: ignore[assignment]
    begun = clock.steady()
    with service.before_a_look():
        thread = threading.Thread(target=service.run, daemon=True)
        thread.start()
    first = clock.steady() - begun
    threading.Event().wait(PAUSE_S)
    found = [_one(folder, year, notifier, clock, FIRST_COW + n) for n in range(times)]
    service.stop()
    thread.join()
    store.close()
    return median(found), first


def _setup_of(year: Year, times: int) -> Setup:
    cows = ", ".join(f'"{FIRST_COW + n}"' for n in range(times))
    texts = {**year.setup.texts, "rules/benchmark.yaml": RULE % cows, "people.yaml": PEOPLE}
    setup, problems = read_setup(texts)
    assert setup is not None, problems
    return setup


def _one(folder: Path, year: Year, notifier: NotifierWhoNotes, clock: Clock, cow: int) -> float:
    """Seconds from one rename to the message that rings for it."""
    at, zone = clock.now(), ZoneInfo(year.setup.farm.zone)
    came, stamp = datetime.fromtimestamp(at - 60, zone), datetime.fromtimestamp(at, zone)
    cells: dict[str, Any] = {"Came in": f"{came:%d.%m.%Y %H:%M:%S}", "Stand": "1", "Cow no": cow, "Ended": "no cups",
                             "Stay min:s": "2:00"}  # fmt: skip
    text = ";".join(COLUMNS) + "\r\n" + ";".join(str(cells.get(title, "")) for title in COLUMNS) + "\r\n"
    unfinished = folder / "exports" / f".{cow}.part"
    unfinished.write_text(text, encoding=ENCODING, newline="")
    begun = clock.steady()
    os.replace(unfinished, folder / "exports" / f"milkings_{stamp:%Y%m%d}_{stamp:%H%M}_{cow}.csv")
    pause = threading.Event()
    while f"Cow {cow}" not in notifier.handed and clock.steady() < begun + 20:
        pause.wait(0.002)
    took = notifier.handed.get(f"Cow {cow}", float("nan")) - begun
    pause.wait(PAUSE_S)
    return took
