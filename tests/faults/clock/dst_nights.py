"""Both nights in which the clock is changed, on a real `sentinel run` for which they pass in a few minutes.

Exports come every hour, in local time without a zone, as herd computers write them. A herd comes every five minutes,
each cow every 13.5 h, so that nobody is late by a bound of 14 h, and all are if a night is an hour off. Two cows and
one filter are late, and told is since when. Worklists are due in the hour that is repeated, or left out, and later.

The process is `sentinel` as anybody starts it, of which Python's own clocks run fast from a moment on.
"""

from __future__ import annotations

import contextlib
import os
import runpy
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from faults.faced import Faced, most_memory_mb
from faults.real_farm import titles

from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.edges.store.outbox import all_notices
from sentinel.flow.model import Alert
from sentinel.runtime.record.replay import as_arrived, live_alerts

HERE = Path(__file__).resolve()
HOUR_S, PAUSE_S = 3600, 300
COWS = 162
"""One comes every five minutes, so each every 13.5 h."""

ZONES = ("Europe/Dublin", "Europe/Berlin", "Australia/Hobart", "Pacific/Auckland", "Australia/Lord_Howe")
YEAR = 2026
PACE = 240
"""So many seconds of the night pass in one of this machine."""

BEFORE_S, AROUND_S = 20 * HOUR_S, 5 * HOUR_S
"""Exports reach back so far before the change, and so long before and after it the farm is lived."""

FILES = {
    "people.yaml": "- person: Marit\n  channels: [phone]\n  hours: always\n  worklist: yes\n  at_most: 1000 per hour\n",
    "feeds/milkings.yaml": """
feed: milkings
files: "milkings_*.csv"
form: delimited
times: "%Y-%m-%d %H:%M"
tables:
  visits: {cow: Cow, start: Start, box: Box, outcome: {column: Ended, words: {milked: milked, failed: failed}}}
""",
    "feeds/boxlog.yaml": """
feed: boxlog
files: "boxlog_*.csv"
form: delimited
times: "%Y-%m-%d %H:%M"
tables:
  box_log: {box: Box, at: At, event: {column: Event, words: {filter: filter_changed, wash: washed}}}
""",
    "rules/rules.yaml": """
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  urgency: round
  say: "Cow {cow} not milked for {value}"
- rule: filter-overdue
  measure: hours_since_filter
  raise_over: 9 h
  urgency: round
  say: "Box {box}: no filter change recorded for {value}"
- rule: feed-quiet
  measure: feed_quiet_min
  raise_over: 100 min
  urgency: now
  say: "Feed {feed}: no new rows for {value}"
""",
}


@dataclass(frozen=True, slots=True)
class Night:
    """One night: where, and the moment (UTC seconds) at which the clock is put ahead or back by so many seconds."""

    zone: str
    at: int
    by_s: int

    @property
    def name(self) -> str:
        """In words."""
        return f"{self.zone} {'spring' if self.by_s > 0 else 'autumn'} ({self.by_s / 60:+.0f} min)"

    @property
    def odd_time(self) -> str:
        """The local time in the middle of what is left out or repeated."""
        before = datetime.fromtimestamp(self.at - 1, ZoneInfo(self.zone)).replace(tzinfo=None) + timedelta(seconds=1)
        return f"{before + timedelta(seconds=self.by_s / 2):%H:%M}"

    def local(self, moment: int, form: str = "%Y-%m-%d %H:%M") -> str:
        """A moment on the farm's clock, which does not tell the two passes of an hour apart."""
        return f"{datetime.fromtimestamp(moment, ZoneInfo(self.zone)):{form}}"


def nights(zone: str, year: int = YEAR) -> tuple[Night, Night]:
    """The two nights of a year in which a zone's clock is changed, by its own rules."""
    found = []
    first = int(datetime(year, 1, 1, tzinfo=UTC).timestamp())
    for moment in range(first, first + 365 * 86400, HOUR_S // 2):
        then, now = (datetime.fromtimestamp(one, ZoneInfo(zone)).utcoffset() for one in (moment - 1, moment))
        assert then is not None and now is not None
        if then != now:
            found.append(Night(zone, moment, round((now - then).total_seconds())))
    autumn, spring = sorted(found, key=lambda one: one.by_s)
    return autumn, spring


@dataclass(frozen=True, slots=True)
class Lived:
    """What a night led to. `visits` are lost and doubled ones; `late` who was told to be late and is not, or not right
    since when; `lists` how often each worklist came; `quiet` alerts of feeds that were not."""

    night: Night
    visits: tuple[int, int]
    late: tuple[str, ...]
    missed: tuple[str, ...]
    lists: tuple[int, int]
    quiet: int
    set_aside: int
    notices_twice: int
    replay_equals_live: bool
    memory_mb: float
    said: str

    @property
    def faced(self) -> Faced:
        """As a line of the table."""
        lost = self.visits[0] + len(self.missed) + self.lists.count(0) + (not self.replay_equals_live)
        doubled = self.visits[1] + len(self.late) + self.quiet + self.notices_twice
        doubled += sum(max(0, count - 1) for count in self.lists)
        return Faced(f"DST night {self.night.name}", 300, lost, doubled, 0.0, self.memory_mb)


class FastClock:
    """The time of a night, which passes fast since a moment of this machine's steady seconds."""

    def __init__(self, begin: float, zero: float, pace: float) -> None:
        self.begin, self.zero, self.pace = begin, zero, pace

    def now(self) -> float:
        """UTC seconds in the night."""
        return self.begin + self.pace * (_steady() - self.zero)

    def wait_for(self, moment: float) -> None:
        """Wait until the night has come to a moment."""
        while (left := (moment - self.now()) / self.pace) > 0:
            threading.Event().wait(left)


_steady = time.monotonic  # noqa: TID251


def live(night: Night, folder: Path, pace: float = PACE) -> Lived:
    """Live through a night."""
    farm, exports = folder / "farm", folder / "farm" / "exports"
    for room in ("feeds", "rules", "exports"):
        (farm / room).mkdir(parents=True)
    later = night.local(night.at + AROUND_S - HOUR_S // 2, "%H:%M")
    settings = {
        "farm.yaml": f"name: Night\nzone: {night.zone}\nboxes: ['1', '2']\nrounds: ['{night.odd_time}', '{later}']\n"
        "settle: 0 s\nlook_every: 60 s\nchores: {filter: {places: boxes, event: filter_changed}}\n",
        **FILES,
    }
    for name, text in settings.items():
        (farm / name).write_text(text, encoding="utf-8")
    with Phone() as phone:
        (farm / "secrets.yaml").touch(mode=0o600)
        (farm / "secrets.yaml").write_text(f'channels: {{phone: "{phone.url}"}}\n', encoding="utf-8")
        came, events = _herd(night), _box_log(night)
        hours = range(night.at - BEFORE_S + HOUR_S, night.at + AROUND_S + 1, HOUR_S)
        for until in hours:
            if until + 120 <= night.at - AROUND_S:
                _export(night, exports, came, events, until)
        clock = FastClock(night.at - AROUND_S, _steady() + 2, pace)
        process = _start(farm, clock, folder / "run.log")
        try:
            for until in hours:
                if until + 120 > night.at - AROUND_S:
                    clock.wait_for(until + 120)
                    _export(night, exports, came, events, until)
            clock.wait_for(night.at + AROUND_S + 600)
            memory_mb = most_memory_mb(process.pid)
        finally:
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(30)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(5)
        return _judged(night, farm, came, phone, memory_mb, (folder / "run.log").read_text(encoding="utf-8"))


def _herd(night: Night) -> dict[int, str]:
    """Who came when; `late` for the last time 11 h before the change, `early` 19 h before it."""
    moments = range(night.at - BEFORE_S, night.at + AROUND_S, PAUSE_S)
    came = {at: str(number % COWS + 1) for number, at in enumerate(moments)}
    return {**came, night.at - 11 * HOUR_S: "late", night.at - 19 * HOUR_S: "early"}


def _box_log(night: Night) -> dict[int, tuple[str, str]]:
    """What the boxes' log says; the filter of box 2 is changed 6 h before the change and not again."""
    moments = range(night.at - BEFORE_S, night.at + AROUND_S, PAUSE_S)
    events = {at: (str(1 + number % 2), "wash") for number, at in enumerate(moments)}
    events |= {night.at - h * HOUR_S // 2: ("1", "filter") for h in (40, 25, 9, -8)}
    return events | {night.at - h * HOUR_S: ("2", "filter") for h in (14, 6)}


def _export(night: Night, exports: Path, came: dict[int, str], events: dict[int, tuple[str, str]], until: int) -> None:
    """The hour's two exports, written two minutes after it."""
    mine = [at for at in came if until - HOUR_S <= at < until]
    visits = [f"{came[at]},{night.local(at)},{1 + at // PAUSE_S % 2},milked" for at in mine]
    log = [
        f"{events[at][0]},{night.local(at)},{events[at][1]}" for at in sorted(events) if until - HOUR_S <= at < until
    ]
    for name, lines in (("milkings", ["Cow,Start,Box,Ended", *visits]), ("boxlog", ["Box,At,Event", *log])):
        part = exports / f"{name}_{until}.part"
        part.write_text("\n".join([*lines, ""]), encoding="utf-8")
        os.utime(part, (until + 120, until + 120))
        part.rename(part.with_suffix(".csv"))


def _start(farm: Path, clock: FastClock, log: Path) -> subprocess.Popen[bytes]:
    told = [str(one) for one in (clock.begin, clock.zero, clock.pace)]
    path = os.pathsep.join([str(HERE.parents[3]), str(HERE.parents[2])])
    with log.open("wb") as said:
        return subprocess.Popen(
            [sys.executable, str(HERE), "--sentinel", *told, "run", str(farm), "--no-page", "-v"],
            env={**os.environ, "PYTHONPATH": path},
            stdout=said,
            stderr=subprocess.STDOUT,
        )


def _judged(night: Night, farm: Path, came: dict[int, str], phone: Phone, memory_mb: float, said: str) -> Lived:
    right = {
        ("late-cow", "cow:late"): night.at + 3 * HOUR_S,
        ("late-cow", "cow:early"): night.at - 5 * HOUR_S,
        ("filter-overdue", "box:2"): night.at + 3 * HOUR_S,
    }
    store = Store(farm / STORE_NAME)
    try:
        stored = {(row["start"], row["cow"]) for row in fetch(store, "select start, cow from visits")}
        alerts = all_alerts(store)
        lists = [one.at for one in all_notices(store) if one.kind == "worklist"]
        set_aside = len(rows_set_aside(store))
        same = as_arrived(store) == live_alerts(store)
    finally:
        store.close()
    of_late = [one for one in alerts if one.rule != "feed-quiet"]
    late = tuple(_told(one, night) for one in of_late if right.get((one.rule, one.subject)) != one.since)
    missed = tuple(subject for rule, subject in right if (rule, subject) not in {(a.rule, a.subject) for a in alerts})
    odd = [at for at in lists if at < night.at + 2 * HOUR_S]
    numbers = Counter(message.notice for message in phone.messages)
    return Lived(
        night,
        (len(came.items() - stored), len(stored - set(came.items()))),
        late,
        missed,
        (len(odd), len(lists) - len(odd)),
        sum(one.rule == "feed-quiet" for one in alerts),
        set_aside,
        sum(count - 1 for count in numbers.values()),
        same,
        memory_mb,
        f"{titles(phone)}\n{said}",
    )


def _told(alert: Alert, night: Night) -> str:
    return f"{alert.rule} {alert.subject} since {(alert.since - night.at) / HOUR_S:+.2f} h of the change"


def live_all(folder: Path, zones: tuple[str, ...] = ZONES, pace: float = PACE) -> list[Lived]:
    """Both nights of several zones, four at a time: they mostly wait."""
    tried = [night for zone in zones for night in nights(zone)]
    with ThreadPoolExecutor(4) as pool:
        return list(pool.map(lambda one: live(one[1], folder / str(one[0]), pace), enumerate(tried)))


def dst_nights(minutes: float, place: Path) -> Iterator[Faced]:
    """Both nights of zones of the north and the south."""
    yield from (one.faced for one in live_all(place))


def be_fast(begin: float, zero: float, pace: float, arguments: list[str]) -> None:
    """Become `sentinel` with these arguments; its clocks show the time of the night."""
    clock = FastClock(begin, zero, pace)
    passed = lambda: 1e6 + pace * (_steady() - zero)  # noqa: E731
    time.time, time.monotonic = clock.now, passed  # noqa: TID251
    with contextlib.suppress(AttributeError):
        time.clock_gettime = lambda which: passed()
    sys.argv = ["sentinel", *arguments]
    runpy.run_module("sentinel", run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    if sys.argv[1] == "--sentinel":
        be_fast(*map(float, sys.argv[2:5]), sys.argv[5:])
