"""Exports that went wrong in every way: seeded mutants of each form, and what becomes of them on the real reading path.

    cd tests && python -m faults.files.hostile_files SEED CASES        so many mutants
    cd tests && python -m faults.files.hostile_files many SEED CASES   ten thousand a process, one line each, by ever
                                                                       the next seed, and their sum
    cd tests && python -m faults.files.hostile_files giants            the few large files, one line each

`mutants.hostile` and `giant_files.giants` give the files. `tried` puts them into a farm's inbox a hundred at a time,
lets a real service look and decide, and says what was read and set aside, how long it took at most and how much memory.
A file that is neither read nor told of, one that makes the program fail, and one that stops a good one behind it, is a
failure. `apart` does so in a process of its own, as memory can only be told of a whole process; `giants_apart` in one
for each large file.
"""

from __future__ import annotations

import contextlib
import json
import logging
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from itertools import islice, pairwise
from pathlib import Path

from faults.files.giant_files import giants
from faults.files.mutants import BEGIN, File, hostile, lines, rows

from sentinel.edges.inbox.watch import readable
from sentinel.edges.memory import settle
from sentinel.edges.settings import Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.flow.bounds import LONGEST_REASON
from sentinel.flow.reasons import MOST_BYTES, from_json, in_english
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.visible import visible
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.service import Service

RULES = Path(__file__).parents[3] / "rules"
AT_ONCE = 100
"""So many files are in the folder at once."""

A_PROCESS = 10_000
"""So many are tried by one process: enough to see whether its memory grows."""

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
OTHERS = """\
tables:
  box_log: {box: Box, at: Start, event: {column: Event, words: {filter: filter_changed}}, text: Event}
  cows:
    {cow: Cow, from: Start, group: Group, calved_on: Calved, status: {column: Status, words: {milk: milking}}}
  tank: {tank: Box, at: Start, litres: Litres, temperature_C: Temp, cells_k_ml: Cells}
  cow_tests: {cow: Cow, at: Start, cells_k_ml: Cells}
"""
FEEDS = {
    "feeds/lines.yaml": 'feed: lines\nfiles: "lines_*.csv"\ndelimiter: ";"\ndecimal: ","\nencoding: cp1252\n'
    + 'times: "%d.%m.%Y %H:%M"\n'
    + TABLES,
    "feeds/words.yaml": 'feed: words\nfiles: "words_*.csv"\ntimes: "%d %B %Y %H:%M"\n' + TABLES,
    "feeds/book.yaml": 'feed: book\nfiles: "book_*.xlsx"\nform: xlsx\n' + TABLES,
    "feeds/wide.yaml": 'feed: wide\nfiles: "wide_*.txt"\ndelimiter: tab\nencoding: utf-16\ntimes: "%Y-%m-%d %H:%M"\n'
    + TABLES,
    "feeds/others.yaml": 'feed: others\nfiles: "others_*.csv"\n' + OTHERS,
    "feeds/objects.yaml": 'feed: objects\nfiles: "objects_*.jsonl"\nform: json_lines\n' + TABLES,
}


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of some files.

    `read`: some rows of it could be read; `whole`: set aside whole; `part`: some rows of it were; `unmapped`: told that
    no map is for it; `bare`: it holds no row. A file that is read in part is counted twice. `longest_s`: of a hundred
    of them with the look at them. `file_s`: the longest that one took to be read and stored. `greatest_mb`: the
    greatest memory of the process that read them, and `child_mb` of one that unpacked a workbook (both resident).
    `failures`: what should not have become of a file.
    """

    cases: int = 0
    read: int = 0
    whole: int = 0
    part: int = 0
    unmapped: int = 0
    bare: int = 0
    longest_s: float = 0.0
    file_s: float = 0.0
    greatest_mb: float = 0.0
    child_mb: float = 0.0
    failures: tuple[str, ...] = ()

    def __add__(self, other: Tally) -> Tally:
        """Both together: counts added up, and the greater of what is the greatest."""
        mine, theirs = asdict(self), asdict(other)
        greatest = ("longest_s", "file_s", "greatest_mb", "child_mb")
        both = {name: max(one, theirs[name]) if name in greatest else one + theirs[name] for name, one in mine.items()}
        return Tally(**both)


Given = tuple[str, None]


class Ticking:
    """A clock that the run moves on; files count as old at once."""

    jumped_s = 0.0

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
    known, inbox, found, greatest = setup(), folder / "exports", Tally(), 0.0
    inbox.mkdir(parents=True, exist_ok=True)
    more = True
    while more:
        some = []
        for name, content in islice(files, AT_ONCE):
            some.append(readable(name))
            if content is not None:
                _put(inbox / name, content)
        more = len(some) == AT_ONCE
        _begin_again()
        found += _looked_at(known, folder, some, f"lines_good_{found.cases}.csv")
        greatest = max(greatest, greatest_mb())
        shutil.rmtree(inbox)
        inbox.mkdir()
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return replace(found, greatest_mb=greatest, child_mb=round(child, 1))


def _looked_at(known: Setup, folder: Path, some: list[str], good: str) -> Tally:
    """One look at the files of these names, and at a good one after them."""
    dice = random.Random(len(some))
    _put(folder / "exports" / good, lines(rows(dice, 5), ";", ",", "%d.%m.%Y %H:%M").encode(), later=60)
    said: list[str] = []
    moments = [time.perf_counter()]

    def heard(one: object) -> None:
        said.append(str(one))
        moments.append(time.perf_counter())

    service = Service(Farmyard(folder, known, Secrets({}), Store(None)), Ticking(), {}, heard=heard)  # type: ignore[arg-type]
    count = dict.fromkeys(("read", "whole", "part", "unmapped", "bare"), 0)
    failures = []
    try:
        service.catch_up()
    except Exception as error:
        failures.append(f"{some[0]} to {some[-1]}: {type(error).__name__}: {error}")
    longest = time.perf_counter() - moments[0]
    kept = {row["file"]: row for row in fetch(service.store, "select * from files")}
    none = fetch(service.store, "select file from files f join set_aside s on s.file_id = f.id where s.line = 0")
    whole = {row["file"] for row in none}
    if good not in kept or kept[good]["rows_read"] != 5:
        failures.append(f"{some[0]} to {some[-1]}: the good export behind them was not read")
    for name in some:
        row = kept.get(name)
        if row is None:
            count["unmapped"] += 1
            if not any(one.startswith(f"{name}: no feed map") for one in said):
                failures.append(f"{name}: neither read nor told of")
            continue
        aside = row["rows_set_aside"] + row["rows_in_part"]
        count["read"] += row["rows_read"] > 0
        count["whole"] += name in whole
        count["part"] += name not in whole and aside > 0
        count["bare"] += not row["rows_read"] and not aside
        reason = from_json(row["reason"])
        why = in_english(reason)
        failed = reason is not None and reason.code in ("reading-failed", "storing-failed")
        if failed or len(why) > LONGEST_REASON or len(row["reason"].encode()) > MOST_BYTES:
            failures.append(f"{name}: {why[:300]}")
        if aside and reason is None:
            failures.append(f"{name}: set aside without a reason")
    service.store.close()
    between = max((later - before for before, later in pairwise(moments)), default=0.0)
    told = tuple(visible(one) for one in failures)
    return Tally(len(some), **count, longest_s=round(longest, 2), file_s=round(between, 2), failures=told)


def greatest_mb() -> float:
    """The greatest memory of this process so far, resident, in MB (of 1024 kB)."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")  # ru_maxrss begins with that of the parent
        return round(int(status.partition("VmHWM:")[2].split()[0]) / 1024, 1)
    except (OSError, IndexError):
        return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, 1)


def _begin_again() -> None:
    """From here on `greatest_mb` tells of what follows: making a mutant may take far more than reading it does."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")


def _put(path: Path, content: bytes | int, later: int = 0) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        if isinstance(content, int):
            file.truncate(content)
        else:
            file.write(content)
    os.utime(path, (BEGIN - 1000 + later, BEGIN - 1000 + later))


def apart(seed: int, cases: int) -> Tally:
    """So many mutants in a process of its own, so that its memory can be told."""
    return _told(str(seed), str(cases))


def many_apart(seed: int, cases: int) -> Iterator[Tally]:
    """So many mutants, ten thousand to a process, each with the next seed."""
    for first in range(0, cases, A_PROCESS):
        yield apart(seed + first // A_PROCESS, min(A_PROCESS, cases - first))


def giants_apart(only: Iterable[str] = ()) -> Iterator[tuple[str, Tally]]:
    """Each large file by itself (or `only` some), read by a process that has not made it."""
    for name, content in giants(only):
        with tempfile.TemporaryDirectory() as folder:
            inbox = Path(folder) / "exports"
            inbox.mkdir()
            _put(inbox / name, content)
            yield name, _told("given", folder, name)


def _told(*line: str) -> Tally:
    roots = os.pathsep.join(str(Path(__file__).parents[n]) for n in (2, 3))
    environment = {**os.environ, "PYTHONPATH": roots}
    command = [sys.executable, "-m", "faults.files.hostile_files", *line]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
    if done.returncode:
        return Tally(failures=(f"{' '.join(line)}: ended with {done.returncode}: {done.stderr[-1000:]}",))
    told = json.loads(done.stdout)
    return Tally(**{**told, "failures": tuple(told["failures"])})


def main(line: list[str]) -> None:
    """Try what the command line says, and print what became of it."""
    if line[0] == "giants":
        for name, found in giants_apart():
            sys.stdout.write(f"{name}  {json.dumps(asdict(found))}\n")
            sys.stdout.flush()
        return
    if line[0] == "many":
        found = Tally()
        for number, one in enumerate(many_apart(int(line[1]), int(line[2]))):
            found += one
            sys.stdout.write(f"seed {int(line[1]) + number}  {json.dumps(asdict(one))}\n")
            sys.stdout.flush()
        sys.stdout.write(f"all  {json.dumps(asdict(found))}\n")
        return
    settle()  # as `run` does: what is loaded is looked through for garbage no more
    if line[0] == "given":
        found = tried(iter([(line[2], None)]), Path(line[1]))
    else:
        with tempfile.TemporaryDirectory() as folder:
            found = tried(hostile(int(line[0]), int(line[1])), Path(folder))
    sys.stdout.write(json.dumps(asdict(found)) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
