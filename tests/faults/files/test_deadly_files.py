"""A file that ends the process does so twice and no more; a kill by hand costs no file."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

from faults.files.deadly_files import DEADLY, farm_of, live_through, read_of, started
from faults.real_farm import fail_milking, until

from sentinel.edges.inbox.under_way import GIVEN_UP, NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.runtime.record.replay import as_arrived

NOBODY = "json://127.0.0.1:9/"


def test_a_file_that_ends_the_process_is_set_aside_and_the_others_are_read(tmp_path: Path) -> None:
    """After its second end, with a reason that a person is told; told again, the past is the same."""
    done = live_through(tmp_path, deadly=1)

    assert (done.lost, done.doubled, done.tried) == (0, 0, 2)
    store = Store(tmp_path / "farm" / "sentinel.db")
    lived = [(a.rule, a.subject, a.raised_at) for a in all_alerts(store)]
    assert [(one.rule, one.subject, one.raised_at) for one in as_arrived(store)] == lived
    assert "rows-set-aside" in {rule for rule, _, _ in lived}


def test_a_good_file_in_which_it_was_killed_twice_is_read_on_demand(tmp_path: Path) -> None:
    """Killed once it is read at the next start; twice in a row it is set aside, and `once --again` reads it."""
    farm = farm_of(tmp_path, NOBODY)
    path = fail_milking(farm / "exports", "7").rename(farm / "exports" / f"{DEADLY}.csv")
    os.utime(path, (1.7e9, 1.7e9))
    for _ in range(2):
        assert started(farm, tmp_path / "log").wait(30) == 9
    command = [sys.executable, "-m", "sentinel", "once", str(farm)]

    subprocess.run(command, check=True, capture_output=True)
    assert read_of(farm) == {path.name: (0, str(GIVEN_UP))}
    subprocess.run([*command, "--again"], check=True, capture_output=True)
    assert read_of(farm)[path.name] == (1, "")


def test_kill_9_while_a_file_is_read_costs_one_more_start(tmp_path: Path) -> None:
    """A real kill from outside, in the middle of reading: the next start reads the file."""
    farm = farm_of(tmp_path, NOBODY)
    held = fail_milking(farm / "exports", "7").rename(farm / "exports" / "slow.csv")
    os.utime(held, (1.7e9, 1.7e9))
    process = started(farm, tmp_path / "log")
    try:
        assert until(lambda: (farm / NAME).is_file() and b"slow.csv" in (farm / NAME).read_bytes(), 30)
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait(10)

    subprocess.run([sys.executable, "-m", "sentinel", "once", str(farm)], check=True, capture_output=True)
    assert read_of(farm) == {held.name: (1, "")}
