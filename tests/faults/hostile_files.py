"""Exports that went wrong in every way: seeded mutants of each form, and what becomes of them on the real reading path.

    PYTHONPATH=tests python -m faults.hostile_files SEED CASES       so many mutants
    PYTHONPATH=tests python -m faults.hostile_files giants           the few large files, one line each

`mutants.hostile` and `giant_files.giants` give the files. `tried` puts them into a farm's inbox a hundred at a time,
lets a real service look, and says what was read and set aside, how long it took at most and how much memory. A file
that is neither read nor told of, and one that stops a good one behind it, is an `AssertionError`. `apart` does so in a
process of its own, as memory can only be told of a whole process; `giants_apart` in one for each large file.
"""

from __future__ import annotations

import json
import logging
import os
import random
import resource
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from itertools import islice
from pathlib import Path

from faults.giant_files import giants
from faults.mutants import BEGIN, File, hostile, lines, rows

from sentinel.edges.settings import Secrets
from sentinel.edges.store import Store
from sentinel.flow.setup import Setup, read_setup
from sentinel.service import Farmyard, Service

RULES = Path(__file__).parents[2] / "rules"
AT_ONCE = 100
"""So many files are in the folder at once."""

FARM = 'name: Tinfield\nzone: Europe/Dublin\nboxes: ["1", "2"]\n'
TABLES = """\
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: Milk
    outcome: {column: Ended, words: {ok: milked, none: failed}}
    attempts: Tries
  quarters:
    each: quarter
    conductivity_mS_cm: {column: "{quarter} cond", reference_temperature_C: 25}
    kicked_off: "{quarter} kicks"
"""
FEEDS = {
    "feeds/lines.yaml": 'feed: lines\nfiles: "lines_*.csv"\ndelimiter: ";"\ndecimal: ","\nencoding: cp1252\n'
    + 'times: "%d.%m.%Y %H:%M"\n'
    + TABLES,
    "feeds/words.yaml": 'feed: words\nfiles: "words_*.csv"\ntimes: "%d %B %Y %H:%M"\n' + TABLES,
    "feeds/book.yaml": 'feed: book\nfiles: "book_*.xlsx"\nform: xlsx\n' + TABLES,
    "feeds/objects.yaml": 'feed: objects\nfiles: "objects_*.jsonl"\nform: json_lines\n' + TABLES,
}


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of some files.

    `read`: some rows of it could be read; `whole`: set aside whole; `part`: some rows of it were; `unmapped`: told that
    no map is for it. `longest_s`: of a hundred of them with the look at them. `greatest_mb`: the greatest memory of the
    process that read them, and `child_mb` of one that unpacked a workbook (both resident).
    """

    cases: int
    read: int
    whole: int
    part: int
    unmapped: int
    longest_s: float
    greatest_mb: float
    child_mb: float


Given = tuple[str, None]


class Ticking:
    """A clock that the run moves on; files count as old at once."""

    def __init__(self) -> None:
        self.at = BEGIN

    def now(self) -> int:
        """The moment."""
        return self.at

    def steady(self) -> float:
        """The same in steady seconds."""
        return float(self.at)

    def stamps(self) -> float:
        """What files are stamped with."""
        return float(self.at)

    def wait(self, event: threading.Event, until: float | None) -> bool:
        """Nobody waits here."""
        return event.is_set()


def setup(farm: str = "") -> Setup:
    """The farm on which all this lands: the rules that tell of it, of cows and of boxes; with more of `farm.yaml`."""
    rules = {
        f"rules/{name}": (RULES / name).read_text(encoding="utf-8")
        for name in ("feeds.yaml", "cows.yaml", "boxes.yaml")
    }
    found, problems = read_setup({"farm.yaml": FARM + farm, **FEEDS, **rules})
    assert found is not None, problems
    return found


def tried(files: Iterator[File | Given], folder: Path) -> Tally:
    """Let a service read the files, a hundred at a time, and see that each is read or told of, and the next one too.

    A file that is there already is given without its content.
    """
    logging.getLogger("sentinel").setLevel(logging.CRITICAL)
    logging.getLogger("sentinel").addHandler(logging.NullHandler())
    known, inbox = setup(), folder / "exports"
    inbox.mkdir(parents=True, exist_ok=True)
    cases = read = whole = part = unmapped = 0
    longest = 0.0
    more = True
    while more:
        some = []
        for name, content in islice(files, AT_ONCE):
            some.append(name)
            if content is not None:
                _put(inbox / name, content)
        more = len(some) == AT_ONCE
        good = f"lines_good_{cases}.csv"
        _put(inbox / good, lines(rows(random.Random(cases), 5), ";", ",", "%d.%m.%Y %H:%M").encode(), later=60)
        said: list[str] = []
        began = time.perf_counter()
        yard = Farmyard(folder, known, Secrets({}), Store(None))
        service = Service(yard, Ticking(), {}, heard=lambda one, said=said: said.append(str(one)))  # type: ignore[arg-type, misc]
        service.catch_up()
        longest = max(longest, time.perf_counter() - began)
        kept = {row["file"]: row for row in service.store.rows("select * from files")}
        none = service.store.rows("select file from files f join set_aside s on s.file_id = f.id where s.line = 0")
        whole_files = {row["file"] for row in none}
        assert kept[good]["rows_read"] == 5, "a good export was not read"
        for name in some:
            cases += 1
            if name not in kept:
                assert any(name in one for one in said), f"{name}: neither read nor told of"
                unmapped += 1
                continue
            row = kept[name]
            read += row["rows_read"] > 0
            whole += name in whole_files
            part += name not in whole_files and row["rows_set_aside"] + row["rows_in_part"] > 0
            assert not row["reason"].startswith(("reading it failed", "it cannot be stored")), (
                f"{name}: {row['reason']}"
            )
            assert len(row["reason"]) <= 1001
        service.store.close()
        for path in inbox.iterdir():
            path.unlink()
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return Tally(cases, read, whole, part, unmapped, round(longest, 2), greatest_mb(), round(child, 1))


def greatest_mb() -> float:
    """The greatest memory of this process so far, resident, in MB (of 1024 kB)."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")  # ru_maxrss begins with that of the parent
        return round(int(status.partition("VmHWM:")[2].split()[0]) / 1024, 1)
    except (OSError, IndexError):
        return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, 1)


def _put(path: Path, content: bytes | int, later: int = 0) -> None:
    with path.open("wb") as file:
        if isinstance(content, int):
            file.truncate(content)
        else:
            file.write(content)
    os.utime(path, (BEGIN - 1000 + later, BEGIN - 1000 + later))


def apart(seed: int, cases: int) -> Tally:
    """So many mutants in a process of its own, so that its memory can be told."""
    return _told(str(seed), str(cases))


def giants_apart(only: Iterable[str] = ()) -> Iterator[tuple[str, Tally]]:
    """Each large file by itself (or `only` some), read by a process that has not made it."""
    for name, content in giants(only):
        with tempfile.TemporaryDirectory() as folder:
            inbox = Path(folder) / "exports"
            inbox.mkdir()
            _put(inbox / name, content)
            yield name, _told("given", folder, name)


def _told(*line: str) -> Tally:
    roots = os.pathsep.join(str(Path(__file__).parents[n]) for n in (1, 2))
    environment = {**os.environ, "PYTHONPATH": roots}
    command = [sys.executable, "-m", "faults.hostile_files", *line]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
    assert done.returncode == 0, done.stderr[-3000:]
    return Tally(**json.loads(done.stdout))


def main(line: list[str]) -> None:
    """Try what the command line says, and print what became of it."""
    if line[0] == "giants":
        for name, found in giants_apart():
            sys.stdout.write(f"{name}  {json.dumps(asdict(found))}\n")
            sys.stdout.flush()
        return
    if line[0] == "given":
        found = tried(iter([(line[2], None)]), Path(line[1]))
    else:
        with tempfile.TemporaryDirectory() as folder:
            found = tried(hostile(int(line[0]), int(line[1])), Path(folder))
    sys.stdout.write(json.dumps(asdict(found)) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
