"""Invariant 3 at its hardest: killed at any instant, nothing is lost and the work ends as if nothing had happened."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from text_tables import DAY_0
from whole.whole_farm import BOX_FAILURES, FEED, alert_table, batch, measured, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import last_known, put_settings
from sentinel.edges.store.outbox import all_notices
from sentinel.flow.model import Tick, TickKind
from sentinel.runtime.engine import Engine
from sentinel.runtime.record.replay import as_arrived, live_alerts

HERE = Path(__file__).parent


def run(path: Path, seed: int, kills: int) -> int:
    """Live through the farm's day with so many kills; how many there were before it was done."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE.parents[1]), str(HERE.parents[2])])}
    command = [sys.executable, str(HERE / "killed_farm.py"), str(path), str(seed), str(kills)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=110, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return int(done.stdout.split()[0])


@pytest.mark.parametrize("seed", range(1, 5))
def test_killed_dozens_of_times_it_ends_as_if_nothing_had_happened(tmp_path: Path, seed: int) -> None:
    """Rows, alerts, answers and notices are those of an undisturbed day; chain, file and replay are whole."""
    kills = run(tmp_path / "killed.db", seed, 60)
    run(tmp_path / "quiet.db", seed, 0)
    killed, quiet = Store(tmp_path / "killed.db"), Store(tmp_path / "quiet.db")

    assert kills >= 24, "the day was over before it could be killed often enough"
    killed.verify()
    assert measured(killed) == measured(quiet)
    history = (
        "select rule, subject, since, over_at is null, answered_by, again from alerts order by rule, subject, since"
    )
    assert [tuple(r) for r in fetch(killed, history)] == [tuple(r) for r in fetch(quiet, history)]
    assert len(fetch(killed, "select 1 from alerts")) >= 4
    told = {number for notice in all_notices(killed) for number in notice.alerts}
    assert {alert.id for alert in all_alerts(killed) if alert.urgency == "now"} <= told
    assert len(fetch(killed, "select 1 from log where kind = 'answer'")) == len(
        fetch(quiet, "select 1 from log where kind = 'answer'")
    )
    assert alert_table(as_arrived(killed)) == alert_table(live_alerts(killed))


def test_an_export_read_before_a_kill_is_never_decided_on_at_an_earlier_moment() -> None:
    """Killed between reading and deciding, and the clock put back: the next moment is after the reading all the same.

    Else the history would say that an alert rested on rows which came only later.
    """
    store, setup = Store(None), setup_of(BOX_FAILURES, (FEED,))
    noon, failures = DAY_0 + 12 * 3600, "\n".join(f"{cow}  11:0{cow}  2  failed" for cow in range(1, 7))
    engine = Engine(store, setup)
    put_settings(store, noon - 3600, setup.texts)
    engine.step(Tick(noon - 3600, TickKind.START))
    engine.absorb(noon, batch("cow  start  box  outcome\n" + failures))

    restarted = Engine(store, setup)
    with pytest.raises(ValueError, match="cannot follow"):
        restarted.step(Tick(noon - 1, TickKind.START))
    assert last_known(store) == noon
    restarted.step(Tick(noon + 1, TickKind.START))

    assert [alert.rule for alert in all_alerts(store)] == ["box-failures"]
    assert alert_table(as_arrived(store)) == alert_table(live_alerts(store))
