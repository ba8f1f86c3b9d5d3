"""What `run` does not need is not loaded with it: the service's memory is the farm computer's."""

from __future__ import annotations

import subprocess
import sys
from datetime import date

from sentinel.cli import simulate
from sentinel.simulator import HerdSpec


def test_the_commands_are_loaded_without_what_only_some_of_them_need() -> None:
    """No simulation, no spreadsheets, no units, no services of channels, no guessing of misspelt words."""
    code = "import sys, sentinel.cli; print(*sorted({name.split('.')[0] for name in sys.modules}), *sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    loaded = set(done.stdout.split())
    assert "pandas" in loaded
    assert not loaded & {"apprise", "openpyxl", "pint", "rapidfuzz", "icar", "sentinel.simulator", "sentinel.demo"}


def test_simulate_offers_the_herd_that_the_simulation_itself_would_take() -> None:
    """The command names its defaults without loading the simulation."""
    told = (simulate.COWS, simulate.BOXES, simulate.DAYS, simulate.SEED, simulate.ZONE, simulate.START)
    spec = HerdSpec()
    assert told == (spec.cows, spec.boxes, spec.days, spec.seed, spec.zone, str(spec.start))
    assert date.fromisoformat(simulate.START) == spec.start
