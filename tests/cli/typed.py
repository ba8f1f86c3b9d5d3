"""A command as a new user types it and what it said; the settings and exports of a small farm to type it in."""

from __future__ import annotations

import contextlib
import io
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from sentinel.cli import main
from sentinel.edges.clock import Clock

FEED = """\
feed: milkings
files: "*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M:%S"
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    outcome: {column: Outcome, words: {milked: milked, failed: failed}}
"""

SETTLE = "settle: 0 s\n"
"""In these tests nobody is still writing a file, but where a test says so."""

RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} to attach in 6 h ({visits} visits)"
  findings: [arm out of line, optics dirty, nothing found]
- rule: rows-set-aside
  measure: rows_set_aside
  raise_over: 0 rows
  urgency: round
  say: "{file}: {value} set aside. First reason: {reason}"
"""
"""Rules of these tests' own, so that tuning those that ship changes nothing here."""


class Said(NamedTuple):
    """What a command printed and how it ended; `words` is everything without line breaks."""

    code: int
    out: str
    err: str

    @property
    def words(self) -> str:
        """Everything printed, without line breaks."""
        return " ".join(f"{self.out} {self.err}".split())

    @property
    def records(self) -> list[dict[str, Any]]:
        """The JSON objects it printed, one a line."""
        return [json.loads(line) for line in self.out.splitlines()]


def sentinel(*given: str | Path | int) -> Said:
    """Run one command."""
    out, err = io.StringIO(), io.StringIO()
    code = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main([str(one) for one in given])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Said(code, out.getvalue(), err.getvalue())


def export(*visits: tuple[str, int, str, str], head: str = "Cow;Start;Box;Outcome") -> str:
    """An export with these visits: cow, seconds ago, box, outcome."""
    now = Clock().now()
    lines = [f"{cow};{when(now - ago)};{box};{how}" for cow, ago, box, how in visits]
    return "\n".join([head, *lines, ""])


def when(at: int) -> str:
    """A moment as the exports write it."""
    return f"{datetime.fromtimestamp(at, UTC):%Y-%m-%d %H:%M:%S}"


def failures(box: str, count: int, begin: int) -> list[tuple[str, int, str, str]]:
    """So many failed visits at a box, of a different cow each, a minute apart."""
    return [(str(begin + n), 60 * (count - n), box, "failed") for n in range(count)]
