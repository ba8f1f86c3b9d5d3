"""A store damaged as disks damage it, and every command tried on it as a process of its own.

    python -m faults.store.damaged_store [SEEDS]    # in tests/; a table: what was damaged, what each command said of it

`made(folder)` makes a real farm with a real store, `damaged(path, seed)` damages a copy of it in one of the ways of
`WAYS`, `commands(farm)` are the commands to try, `ended(farm, command)` runs one. What a command may do on a damaged
store: end with exit code 0 where the damage is none of its business, or say one sentence with the way back.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from faults.real_farm import FEED

from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store

RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} to attach in 6 h ({visits} visits)"
  findings: [arm out of line, optics dirty, nothing found]
"""

TIMEOUT_S = 90.0


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended: its exit code, and all that it printed."""

    code: int
    out: str
    err: str

    @property
    def traceback(self) -> bool:
        """Whether it ended as no command should."""
        return "Traceback" in self.out + self.err or self.code < 0 or self.code == 70  # 70: a fault of its own

    @property
    def said(self) -> str:
        """The last line it said to people."""
        return (self.err.strip().splitlines() or [""])[-1]

    @property
    def way_back(self) -> bool:
        """Whether it ended with a sentence that says how to come back."""
        return self.code != 0 and "sentinel restore" in self.said


def run(*given: str | Path, timeout: float = TIMEOUT_S) -> Ended:
    """Run a command as a process of its own; one that goes on is stopped after `timeout` seconds."""
    process = subprocess.Popen(
        [sys.executable, "-m", "sentinel", *map(str, given)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, errors="backslashreplace",
    )  # fmt: skip
    try:
        out, err = process.communicate(timeout=timeout)
    except subprocess.TimeoutExpired:
        process.terminate()
        out, err = process.communicate(timeout=30)
    return Ended(process.returncode, out, err)


def export(folder: Path, name: str, visits: int, outcome: str = "milked", first_cow: int = 1) -> None:
    """Put an export of so many visits, a minute apart and ending now, into the inbox."""
    now, lines = Clock().now(), ["Cow;Start;Box;Outcome"]
    for number in range(visits):
        start = datetime.fromtimestamp(now - 60 * (visits - number), UTC)
        lines.append(f"{first_cow + number % 90};{start:%Y-%m-%d %H:%M:%S};{number % 2 + 1};{outcome}")
    (folder / "exports" / name).write_text("\n".join([*lines, ""]))


def made(folder: Path, phone: Phone | None = None, exports: int = 12) -> Path:
    """A farm whose store holds visits, alerts, answers and a log, made by the commands themselves."""
    assert run("init", folder, "--zone", "UTC").code == 0
    for shipped in (folder / "rules").glob("*.yaml"):
        shipped.unlink()
    (folder / "rules" / "boxes.yaml").write_text(RULES)
    (folder / "feeds" / "milkings.yaml").write_text(FEED)
    plan = (folder / "farm.yaml").read_text()
    (folder / "farm.yaml").write_text(plan + "settle: 0 s\npage: {port: 0}\n")
    if phone is not None:
        (folder / "secrets.yaml").write_text(f'channels:\n  operator-phone: "{phone.url}"\n')
    for number in range(exports):
        export(folder, f"m{number}.csv", 200, first_cow=1 + 90 * number)
    export(folder, "failed.csv", 20, "failed", 7000)
    ended = run("once", folder)
    assert ended.code == 0, ended.err
    assert run("answer", "1", "--by", "Operator", "--note", "all fine", "--farm", folder).code == 0
    export(folder, "later.csv", 100, first_cow=9000)  # there is something to read for `once` and `run`
    return folder


# --- the ways in which a store is damaged --------------------------------------------------------------------


def _bytes(path: Path) -> bytearray:
    return bytearray(path.read_bytes())


def flipped(path: Path, chance: random.Random) -> None:
    """Some bytes anywhere in the file are others."""
    content = _bytes(path)
    for _ in range(chance.choice((1, 8, 64))):
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    path.write_bytes(content)


def header(path: Path, chance: random.Random) -> None:
    """Some bytes of the file's first hundred, which say what it is, are others."""
    content = _bytes(path)
    for _ in range(chance.randint(1, 4)):
        content[chance.randrange(100)] = chance.randrange(256)
    path.write_bytes(content)


def zeroed(path: Path, chance: random.Random) -> None:
    """Some of its pages are zeros, as after a disk lost a sector."""
    content = _bytes(path)
    for _ in range(chance.randint(1, 3)):
        page = chance.randrange(len(content) // 4096) * 4096
        content[page : page + 4096] = bytes(4096)
    path.write_bytes(content)


def garbled(path: Path, chance: random.Random) -> None:
    """The beginning of a page, where it says what is on it, is noise."""
    content = _bytes(path)
    page = chance.randrange(len(content) // 4096) * 4096
    content[page : page + 64] = chance.randbytes(64)
    path.write_bytes(content)


def cut(path: Path, chance: random.Random) -> None:
    """Its end is missing, on a page's border or not."""
    content = _bytes(path)
    length = chance.randrange(1, len(content))
    path.write_bytes(content[: length if chance.random() < 0.5 else max(4096, length // 4096 * 4096)])


def log_entry(path: Path, chance: random.Random) -> None:
    """An entry of the log says something else than it did."""
    with closing(sqlite3.connect(path)) as conn, conn:
        conn.execute("drop trigger log_is_never_changed")
        number = chance.randint(1, conn.execute("select max(seq) from log").fetchone()[0])
        body = chance.choice(("{", '{"said": "nothing"}', "[]", '"'))
        conn.execute("update log set body = ? where seq = ?", (body, number))


def in_json(path: Path, chance: random.Random) -> None:
    """A column that holds JSON holds none."""
    table, column = chance.choice(
        (("alerts", "facts"), ("alerts", "look_first"), ("settings", "text"), ("feeds", "tables"))
    )
    with closing(sqlite3.connect(path)) as conn, conn:
        conn.execute(f"update {table} set {column} = ?", (chance.choice(("", "{", "[1", "nul")),))


def not_text(path: Path, chance: random.Random) -> None:
    """A text is no UTF-8."""
    table, column = chance.choice((("visits", "box"), ("alerts", "text"), ("log", "body"), ("seen", "name")))
    with closing(sqlite3.connect(path)) as conn, conn:
        if table == "log":
            conn.execute("drop trigger log_is_never_changed")
        conn.execute(
            f"update {table} set {column} = cast(x'c328ff' as text) where rowid in (select rowid from {table} limit 1)"
            if table not in ("visits",)
            else "update visits set box = cast(x'c328ff' as text) where cow = '7'"
        )


def table_gone(path: Path, chance: random.Random) -> None:
    """A table or a column has another name."""
    with closing(sqlite3.connect(path)) as conn, conn:
        if chance.random() < 0.5:
            conn.execute(
                f"alter table {chance.choice(('log', 'alerts', 'seen', 'deliveries', 'ticks'))} rename to lost"
            )
        else:
            conn.execute("alter table alerts rename column text to tixt")


def in_wal(path: Path, chance: random.Random) -> None:
    """A crash left the newest commits in the write-ahead log, and some of its bytes are others."""
    log = path.with_name(path.name + "-wal")
    store = Store(path)
    store.conn.execute("pragma wal_autocheckpoint = 0")
    for number in range(20):
        store.put_meta(f"key {number}", "x" * 500)
    left = {part: part.read_bytes() for part in (path, log)}
    store.close()
    for part, content in left.items():
        part.write_bytes(content)
    flipped(log, chance)


def emptied(path: Path, chance: random.Random) -> None:
    """The file is there and empty."""
    path.write_bytes(b"")


def gone(path: Path, chance: random.Random) -> None:
    """The file is not there any more."""
    path.unlink()


def other(path: Path, chance: random.Random) -> None:
    """The file is something else."""
    path.write_bytes(chance.choice((b"Cow;Start\n" * 999, chance.randbytes(20_000), bytes(8192))))


WAYS: tuple[Callable[[Path, random.Random], None], ...] = (
    flipped, header, zeroed, garbled, cut, log_entry, in_json, not_text, table_gone, in_wal, emptied, gone, other,
)  # fmt: skip

ALWAYS_TOLD = (zeroed, cut, emptied, gone, other)
"""Ways of which no command may make nothing; of the others some change nothing that means anything."""


def damaged(path: Path, seed: int) -> str:
    """Damage a store in the way that is this seed's turn; the way's name."""
    way = WAYS[seed % len(WAYS)]
    way(path, random.Random(seed))
    return way.__name__


def commands(farm: Path, beside: Path) -> dict[str, tuple[str | Path, ...]]:
    """Every command that opens a store, as it is typed."""
    return {
        "alerts": ("alerts", farm, "--all"),
        "history": ("history", farm),
        "history --csv": ("history", farm, "--csv"),
        "verify": ("verify", farm),
        "once": ("once", farm),
        "answer": ("answer", "1", "--by", "Operator", "--farm", farm),
        "done": ("done", "wash", "--box", "1", "--by", "Operator", "--farm", farm),
        "replay": ("replay", farm),
        "replay --as-arrived": ("replay", farm, "--as-arrived"),
        "people links": ("people", "links", "--farm", farm),
        "people link": ("people", "link", "Operator", "--farm", farm),
        "tell": ("tell", "Operator", "--farm", farm),
        "backup": ("backup", beside / "copy.db", "--farm", farm),
        "run": ("run", farm),
    }


def tried(farm: Path, seed: int, names: tuple[str, ...] = ()) -> Iterator[tuple[str, str, Ended, bool]]:
    """Each command on a fresh copy of a farm, damaged by the seed: way, command, how it ended, whether it wrote."""
    for name in names or tuple(commands(farm, farm)):
        with TemporaryDirectory() as place:
            copy = Path(place) / "farm"
            shutil.copytree(farm, copy)
            path = copy / STORE_NAME
            way = damaged(path, seed)
            before = path.read_bytes() if path.exists() else None
            ended = run(*commands(copy, Path(place))[name], timeout=30 if name == "run" else TIMEOUT_S)
            wrote = (path.read_bytes() if path.exists() else None) != before
            yield way, name, ended, wrote


def main(seeds: int) -> None:
    """Try it and print what came of it."""
    counted: Counter[tuple[str, str]] = Counter()
    with TemporaryDirectory() as place, Phone() as phone:
        farm = made(Path(place) / "farm", phone)
        for seed in range(seeds):
            for way, name, ended, wrote in tried(farm, seed):
                how = "traceback" if ended.traceback else "way back" if ended.way_back else "went on"
                if ended.code and how == "went on":
                    how = "other words"
                counted[(way, how)] += 1
                counted[(way, "written to")] += wrote and how == "way back"
                if how in ("traceback", "other words") or (
                    how == "went on" and way in {w.__name__ for w in ALWAYS_TOLD}
                ):
                    sys.stdout.write(f"seed {seed} {way}: {name}: {ended.code}: {ended.said[:300]}\n")
    heads = ("way back", "went on", "other words", "traceback", "written to")
    sys.stdout.write(f"{'damage':12}" + "".join(f"{head:>13}" for head in heads) + "\n")
    for way in WAYS:
        row = "".join(f"{counted[(way.__name__, head)]:>13}" for head in heads)
        sys.stdout.write(f"{way.__name__:12}{row}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
