"""Invariant 3 at its hardest: killed at any instant, nothing is lost and the work ends as if nothing had happened."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from whole.whole_farm import alert_table, measured

from sentinel.edges.store import Store
from sentinel.replay import as_arrived, live_alerts

HERE = Path(__file__).parent


def run(path: Path, seed: int, kills: int) -> int:
    """Live through the farm's day with so many kills; how many there were before it was done."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE.parent), str(HERE.parents[1])])}
    command = [sys.executable, str(HERE / "killed_farm.py"), str(path), str(seed), str(kills)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=110, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return int(done.stdout.split()[0])


def test_killed_dozens_of_times_it_ends_as_if_nothing_had_happened(tmp_path: Path) -> None:
    """Rows, alerts, answers and notices are those of an undisturbed day; chain, file and replay are whole."""
    kills = run(tmp_path / "killed.db", 1, 30)
    run(tmp_path / "quiet.db", 1, 0)
    killed, quiet = Store(tmp_path / "killed.db"), Store(tmp_path / "quiet.db")

    assert kills >= 15, "the day was over before it could be killed often enough"
    killed.verify()
    assert measured(killed) == measured(quiet)
    history = (
        "select rule, subject, since, over_at is null, answered_by, again from alerts order by rule, subject, since"
    )
    assert [tuple(r) for r in killed.rows(history)] == [tuple(r) for r in quiet.rows(history)]
    assert len(killed.rows("select 1 from alerts")) >= 4
    told = {number for notice in killed.notices() for number in notice.alerts}
    assert {alert.id for alert in killed.alerts("urgency = 'now'")} <= told
    assert len(killed.rows("select 1 from log where kind = 'answer'")) == len(
        quiet.rows("select 1 from log where kind = 'answer'")
    )
    assert alert_table(as_arrived(killed)) == alert_table(live_alerts(killed))
