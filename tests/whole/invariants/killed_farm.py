"""Run by test_invariants_kill: a farm's day over a real store, in a child that is killed again and again.

    python killed_farm.py STORE SEED KILLS

The child goes on from what the store has. After so many kills it is left to finish. Prints how many it took.
Kills fall by what the database has done, not by the clock, so that a fast machine and a slow one see the same ones.
"""

from __future__ import annotations

import os
import random
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

from text_tables import DAY_0
from whole.whole_farm import BOX_FAILURES, FEED, FEED_QUIET, LATE_COW, batch, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import unanswered_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import put_seen, seen_files
from sentinel.edges.store.history import last_known, last_tick, put_settings
from sentinel.edges.store.inputs import put_answer, waiting_inputs
from sentinel.flow.model import Answer, Batch, Tick, TickKind
from sentinel.runtime.engine import Engine

FILES = 38
PEOPLE = "- person: Marit\n  channels: [marit-phone]\n"
SETUP = setup_of(LATE_COW + FEED_QUIET + BOX_FAILURES, (FEED,), people=PEOPLE)


def exports() -> Iterator[tuple[int, str, Batch]]:
    """A day of half-hourly exports, three of them missing: when each comes, its name, and its rows, one corrected."""
    for number in range(FILES):
        begin, rows = number * 30, ["cow  start  box  outcome  modified"]
        for step in range(6):
            day, minute = divmod(begin + 5 * step, 1440)
            cow = (number * 6 + step) % 40 + 1
            if cow == 13 and number > 10:
                continue  # she stays away
            outcome = "failed" if 20 <= number < 24 else "milked"
            rows.append(f"{cow}  {day}d{minute // 60:02}:{minute % 60:02}  {cow % 2 + 1}  {outcome}  {day}d23:59")
        if number in (32, 33, 34):
            continue
        if number == 30:
            rows.append("1  10:00  2  failed  2d00:00")
        name = f"milkings_{number:02}.csv"
        yield DAY_0 + 1800 * (number + 1), name, batch("\n".join(rows), file=name)


def killed_at(store: Store, count: int) -> None:
    """Die without a word at the `count`-th of the database's statements and of every hundred of its steps within."""
    left = count

    def done(statement: str = "") -> int:
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return 0

    store.conn.set_trace_callback(done)
    store.conn.set_progress_handler(done, 100)


def answer_what_stands(store: Store, at: int) -> None:
    """The person says "seen" of every alert that stands and that nobody has answered."""
    for alert in unanswered_alerts(store):
        if not fetch(store, "select 1 from answers where alert = ?", (alert.id,)):
            put_answer(store, Answer(alert.id, at, "Marit", "seen"))


def work(path: Path, kill_at: int | None = None) -> None:
    """Everything that is still to do, from where the store left off; killed on the way if a count is given."""
    store = Store(path)
    if kill_at is not None:
        killed_at(store, kill_at)
    put_settings(store, DAY_0, SETUP.texts)
    engine = Engine(store, SETUP)
    seen = {row.name for row in seen_files(store)}
    begin = max(last_known(store) or 0, DAY_0) + 1
    due = engine.step(Tick(begin, TickKind.START, (), *waiting_inputs(store))).due  # as the service wakes after a start
    answer_what_stands(store, begin)  # a kill may have come before the person could
    for at, name, one in exports():
        if name in seen:
            continue
        while due is not None and due < at:
            woken, due = due, engine.step(Tick(due, TickKind.RUN, (), *waiting_inputs(store))).due
            answer_what_stands(store, woken)
        engine.absorb(at, one, lambda name=name: put_seen(store, (name, 1, 1, 1, 1, "")))  # type: ignore[misc]
        due = engine.step(Tick(at, TickKind.RUN, (), *waiting_inputs(store))).due
        answer_what_stands(store, at)
    engine.step(Tick((last_tick(store) or 0) + 1, TickKind.STOP, (), *waiting_inputs(store)))
    store.close()


def main(path: Path, seed: int, kills: int) -> None:
    """Kill the child somewhere, drawn anew each time; then let one finish."""
    chance = random.Random(seed)
    done = 0
    while True:
        kill_at = chance.randint(1, 250) if done < kills else None
        child = os.fork()
        if child == 0:
            try:
                work(path, kill_at)
            except BaseException as error:
                sys.stderr.write(f"{type(error).__name__}: {error}\n")
                os._exit(1)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if os.WIFEXITED(status):
            sys.stdout.write(f"{done} kills\n")
            sys.exit(os.WEXITSTATUS(status))
        done += 1


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
