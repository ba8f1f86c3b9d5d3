"""A real `sentinel run` whose settings are spoilt while it works: what it goes on doing, what it says, what it costs.

    cd tests && python -m faults.settings.edited_farm [NAME...]      all of `hostile_settings.EDITS` or those named

Of each edit: it is told in one line; an export that comes meanwhile is read and raises by the last good settings;
`sentinel check` says what is wrong; once it is put right the new settings are taken. `try_all` gives what was seen.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from faults.settings.hostile_settings import EDITS, HARMLESS, kept, undo

from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.log import log_entries

FARM = "name: Test farm\nzone: UTC\nboxes: ['1', '2']\nsettle: 0 s\nlook_every: 1 s\n"
FEED = """\
feed: milkings
files: "*.csv"
form: delimited
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    outcome: {column: Outcome, words: {milked: milked, failed: failed}}
"""
RULES = """\
- rule: cow-failures
  measure: failed_attachments
  per: cow
  options: {within: 24 h}
  raise_over: 0 failures
  urgency: log
  say: "Cow {cow}: %s"
"""
PEOPLE = "- person: Anna\n  channels: [anna-phone]\n"
REFUSED = "the settings have an error, the last good ones stay in use"


@dataclass(frozen=True, slots=True)
class Tried:
    """One edit: how many seconds until it was told, in how many lines, what `sentinel check` says of it and its code.

    `raised`: the text of the alert that an export raised meanwhile; `after`: of one after it was put right.
    """

    name: str
    told_s: float
    lines: int
    said: str
    check: str
    code: int
    raised: str
    after: str


def make(folder: Path) -> Path:
    """A farm folder that raises an alert of every cow that fails."""
    for room in ("feeds", "rules", "exports"):
        (folder / room).mkdir(parents=True)
    texts = {"farm.yaml": FARM, "people.yaml": PEOPLE, "feeds/milkings.yaml": FEED, "rules/boxes.yaml": RULES % "first"}
    for name, text in texts.items():
        (folder / name).write_text(text)
    (folder / "secrets.yaml").touch(mode=0o600)
    (folder / "secrets.yaml").write_text("channels:\n  anna-phone: json://127.0.0.1:9/\n")
    return folder


@contextmanager
def running(folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    """The process; ended at the end, by force if it does not go."""
    with (folder / "run.log").open("ab") as log:
        command = [sys.executable, "-m", "sentinel", "run", "--no-page", str(folder)]
        process = subprocess.Popen(command, stdout=log, stderr=log)
        try:
            yield process
        finally:
            process.terminate()
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(10)


def said(folder: Path) -> str:
    """Everything the process has said so far, as one line."""
    return " ".join((folder / "run.log").read_text(errors="replace").split())


def soon(asked: Callable[[], object], process: subprocess.Popen[bytes], seconds: float = 20.0) -> None:
    """Wait until something is so; the process must live as long."""
    until = time.perf_counter() + seconds
    while not asked():
        assert process.poll() is None, "the process has ended"
        assert time.perf_counter() < until, "it never came"
        time.sleep(0.05)


def drop(folder: Path, cow: str) -> None:
    """An export in which a cow fails."""
    at = datetime.fromtimestamp(Clock().now(), UTC) - timedelta(seconds=30)
    part = folder / "exports" / f"{cow}.part"
    part.write_text(f"Cow,Start,Box,Outcome\n{cow},{at:%Y-%m-%d %H:%M:%S},1,failed\n")
    part.rename(folder / "exports" / f"{cow}.csv")


def raised(folder: Path, cow: str) -> str:
    """The text of the cow's alert, "" if there is none."""
    if not (folder / STORE_NAME).exists():
        return ""
    store = Store(folder / STORE_NAME)
    try:
        return next(
            (str(one.entry.body["text"]) for one in log_entries(store, kind="raised") if cow in one.entry.subject), ""
        )
    finally:
        store.close()


def most_mb(process: subprocess.Popen[bytes]) -> float:
    """The greatest memory the process has had, where the system tells (Linux)."""
    try:
        lines = Path(f"/proc/{process.pid}/status").read_text().splitlines()
    except OSError:
        return float("nan")
    return next((int(line.split()[1]) / 1000 for line in lines if line.startswith("VmHWM")), float("nan"))


def try_one(folder: Path, process: subprocess.Popen[bytes], name: str, number: int) -> Tried:
    """Spoil the settings, see that work goes on, put them right with one word changed, see that it is taken."""
    before, old = kept(folder), said(folder).count(REFUSED)
    begun = time.perf_counter()
    EDITS[name](folder)
    soon(lambda: said(folder).count(REFUSED) > old, process, 60.0)
    told_s = time.perf_counter() - begun
    drop(folder, f"during{number}")
    soon(lambda: raised(folder, f"during{number}"), process)
    command = [sys.executable, "-m", "sentinel", "check", str(folder)]
    check = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    lines = said(folder).count(REFUSED) - old
    undo(folder, before)
    (folder / "rules" / "boxes.yaml").write_text(RULES % f"word {number}")
    drop_at = 0

    def taken() -> bool:
        nonlocal drop_at
        drop_at += 1
        cow = f"after{number}n{drop_at}"
        drop(folder, cow)
        soon(lambda: raised(folder, cow), process)
        return f"word {number}" in raised(folder, cow)

    soon(taken, process, 40.0)
    after = raised(folder, f"after{number}n{drop_at}")
    told = said(folder).rpartition(REFUSED)[2].strip(" :")
    return Tried(name, told_s, lines, told, check.stderr, check.returncode, raised(folder, f"during{number}"), after)


def try_all(folder: Path, names: Sequence[str] = tuple(EDITS)) -> tuple[list[Tried], float]:
    """Every edit after the other to one running farm, and the most memory it took, in MB."""
    make(folder)
    with running(folder) as process:
        drop(folder, "first")
        soon(lambda: raised(folder, "first"), process, 60.0)
        for edit in HARMLESS.values():
            edit(folder)
        done = [try_one(folder, process, name, number) for number, name in enumerate(names)]
        return done, most_mb(process)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        results, most = try_all(Path(place) / "farm", sys.argv[1:] or tuple(EDITS))
    for one in results:
        first = one.check.strip().split("\n")[0][:110]
        sys.stdout.write(f"{one.name:34} {one.told_s:5.1f} s {one.lines} line  {first}\n")
    sys.stdout.write(f"{len(results)} edits, greatest memory {most:.0f} MB\n")
