"""The power goes: what a disk leaves of a farm that forgets every write nobody asked it to keep, and what comes of it.

    cd tests && python -m faults.disk.power_cut [CUTS]

A real `sentinel run` works on a farm, rings a real receiver and takes answers on its page, and a small library loaded
before it (`power_cut.c`, made with the system's C compiler) writes down each write, truncation, name and fsync in its
folder. Marks between them say from when on somebody has been told, or was thanked for an answer.

From that record the disk is made as it may be if the power goes at any moment: what was synced is there; of what was
not, any part is, in any order, torn at 512 bytes; of the names given in a folder since it was synced, the first few.
(A disk that says it has written and has not, as some do, keeps no promise to anybody: that is not tried.)
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.real_farm import expect, fail_milking, make_farm, running

from sentinel.demo.people import answer_by_link
from sentinel.demo.phone import Message, Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.outbox import all_notices
from sentinel.errors import SentinelError

SOURCE = Path(__file__).with_suffix(".c")
SECTOR = 512
NOTED_AFTER = 3
"""A notice that was delivered is noted at the latest so many syncs of the database later."""


def cannot() -> str:
    """Why the power cannot be cut here; "" if it can."""
    if sys.platform != "linux":
        return "what a process writes is recorded by means of Linux"
    return "" if shutil.which("cc") or shutil.which("gcc") else "there is no C compiler here"


@dataclass(frozen=True, slots=True)
class Done:
    """One thing done to the disk, or a mark (`m`): operation, path, offset, data."""

    operation: str
    path: str
    offset: int
    data: bytes


@dataclass(frozen=True, slots=True)
class Recorded:
    """A farm at work: what its folder held before, all that was done to it since, and the most memory it took."""

    folder: Path
    before: dict[str, bytes]
    done: tuple[Done, ...]
    exports: Path
    memory_mb: float


# --- recording -----------------------------------------------------------------------------------------------


def record(place: Path, phone: Phone, cows: int) -> Recorded:
    """So many cows fail one after another, each rings, and every other one is answered on the page."""
    library, log = place / "power_cut.so", place / "record"
    compiler = shutil.which("cc") or "gcc"
    subprocess.run([compiler, "-shared", "-fPIC", "-O2", "-o", str(library), str(SOURCE), "-ldl"], check=True)
    exports = place / "exports"
    exports.mkdir()
    farm = make_farm(place.resolve() / "farm", {"phone": phone.url}, f"inbox: {exports}\n")
    before = {str(path): path.read_bytes() for path in farm.rglob("*") if path.is_file()}
    environment = {"LD_PRELOAD": str(library), "POWER_FOLDER": str(farm), "POWER_LOG": str(log)}
    said = place / "run.log"
    # asking its store whether it watches would be a second process that makes files, and is not recorded
    with running(farm, said, ready=False, environment=environment) as process:
        expect(lambda: log.exists() and "listens on" in said.read_text(encoding="utf-8"), 60, "it did not begin")
        with _marks(log) as mark:
            for cow in range(1, cows + 1):
                fail_milking(exports, str(cow))
                title = f"Cow {cow}: 1 failure"
                expect(
                    lambda title=title: any(one.title == title for one in phone.messages), 60, f"{title} did not come"
                )  # type: ignore[misc]
                message = next(one for one in phone.messages if one.title == title)
                mark("delivered", message.notice, title)
                if cow % 2:
                    answer_by_link(message.link, "nothing found", f"cow {cow} was seen")
                    mark("answered", f"cow {cow} was seen")
        memory_mb = most_memory_mb(process.pid)
    return Recorded(farm, before, tuple(_read(log)), exports, memory_mb)


@contextmanager
def _marks(log: Path) -> Iterator[Callable[..., None]]:
    """Append marks to the record, each in one write as the library does."""
    handle = os.open(log, os.O_WRONLY | os.O_APPEND)

    def mark(*said: str) -> None:
        data = "\t".join(said).encode()
        os.write(handle, b"m" + b"".join(n.to_bytes(8, sys.byteorder) for n in (0, 0, len(data))) + data)

    try:
        yield mark
    finally:
        os.close(handle)


def _read(log: Path) -> Iterator[Done]:
    content, at = memoryview(log.read_bytes()), 0
    while at < len(content):
        sizes = [int.from_bytes(content[at + n : at + n + 8], sys.byteorder) for n in (1, 9, 17)]
        path, data = at + 25, at + 25 + sizes[0]
        yield Done(chr(content[at]), str(content[path:data], "utf-8"), sizes[1], bytes(content[data : data + sizes[2]]))
        at = data + sizes[2]


# --- the disk -------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Content:
    """A file's bytes on the disk, and what was written since it was last synced."""

    synced: bytearray = field(default_factory=bytearray)
    since: list[Done] = field(default_factory=list)


class Disk:
    """A folder as its programs see it, and as it will be found after a power cut."""

    def __init__(self, before: dict[str, bytes]) -> None:
        self._seen = {path: Content(bytearray(data)) for path, data in before.items()}
        self._named = dict(self._seen)
        self._since: dict[str, list[tuple[str, Content | None]]] = {}

    def do(self, one: Done) -> None:
        """Something is done to it."""
        if one.operation in "wt":
            self._seen[one.path].since.append(one)
        elif one.operation == "c":
            self._name(one.path, Content())
        elif one.operation in "rl":
            content = self._seen[one.path]
            self._name(one.data.decode(), content)
            if one.operation == "r":
                self._name(one.path, None)
        elif one.operation == "u":
            self._name(one.path, None)
        elif one.operation == "s" and one.path in self._seen:
            content = self._seen[one.path]
            for write in content.since:
                _apply(content.synced, write)
            content.since.clear()
        elif one.operation == "s":
            for name, content_or_none in self._since.pop(one.path, []):
                _point(self._named, name, content_or_none)

    def _name(self, path: str, content: Content | None) -> None:
        _point(self._seen, path, content)
        self._since.setdefault(os.path.dirname(path), []).append((path, content))

    def after_the_cut(self, dice: random.Random) -> dict[str, bytes]:
        """The files that are found, each with some of what was not yet synced."""
        named = dict(self._named)
        for waiting in self._since.values():
            for name, content in waiting[: dice.randint(0, len(waiting))]:
                _point(named, name, content)
        kept = {id(one): _torn(one, dice) for one in named.values()}
        return {path: kept[id(content)] for path, content in named.items()}


def _point(names: dict[str, Content], path: str, content: Content | None) -> None:
    if content is None:
        names.pop(path, None)
    else:
        names[path] = content


def _apply(content: bytearray, one: Done) -> None:
    if one.operation == "t":
        content[:] = content[: one.offset].ljust(one.offset, b"\0")
        return
    if len(content) < one.offset:
        content.extend(bytes(one.offset - len(content)))
    content[one.offset : one.offset + len(one.data)] = one.data


def _torn(content: Content, dice: random.Random) -> bytes:
    """What was synced, with all, none or any sectors of the writes since, in any order."""
    found = bytearray(content.synced)
    writes = list(content.since)
    share = dice.choice((0.0, 0.1, 0.5, 0.9, 1.0))
    if dice.random() < 0.5:
        dice.shuffle(writes)
    for one in writes:
        if one.operation == "t":
            if dice.random() < share:
                _apply(found, one)
            continue
        start = one.offset
        while start < one.offset + len(one.data):
            end = min(one.offset + len(one.data), (start // SECTOR + 1) * SECTOR)
            if dice.random() < share:
                _apply(found, Done("w", "", start, one.data[start - one.offset : end - one.offset]))
            start = end
    return bytes(found)


# --- after the cut ---------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Found:
    """What came of some cuts: how many; what was lost and doubled, in words; how many were begun again for real."""

    cuts: int = 0
    begun_again: int = 0
    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)


def cut(recorded: Recorded, place: Path, phone: Phone, cuts: int, seed: int, again_every: int = 20) -> Found:
    """Cut the power at so many moments, look at what is left, and begin again on it, every so often with `once`."""
    dice, found = random.Random(seed), Found()
    moments = sorted(dice.randrange(1, len(recorded.done) + 1) for _ in range(cuts))
    disk, at = Disk(recorded.before), 0
    for moment in moments:
        for one in recorded.done[at:moment]:
            disk.do(one)
        at = moment
        folder = place / f"cut{found.cuts}"
        _write(disk.after_the_cut(dice), recorded.folder, folder)
        found.cuts += 1
        try:
            _look(folder, recorded.done[:moment], found)
            if found.cuts % again_every == 0:
                _begin_again(folder, recorded, moment, phone, found)
        finally:
            shutil.rmtree(folder)
    return found


def _write(files: dict[str, bytes], was: Path, folder: Path) -> None:
    for path, content in files.items():
        target = folder / Path(path).relative_to(was)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.touch(mode=0o600)
        target.write_bytes(content)


def _marked(done: Sequence[Done], kind: str) -> list[tuple[int, list[str]]]:
    """The marks of a kind: where they stand, and what they say."""
    marks = ((n, one.data.decode().split("\t")) for n, one in enumerate(done) if one.operation == "m")
    return [(n, said[1:]) for n, said in marks if said[0] == kind]


def _look(folder: Path, done: Sequence[Done], found: Found) -> None:
    """The store opens and is whole; whoever was rung or thanked is in it; the key is whole or not there."""
    told, thanked = _marked(done, "delivered"), _marked(done, "answered")
    key = folder / "page.key"
    if key.exists() and len(key.read_bytes()) < 32:
        found.lost.append(f"cut {found.cuts}: a page.key of {len(key.read_bytes())} bytes")
    path = folder / STORE_NAME
    if not path.exists():
        found.lost += [f"cut {found.cuts}: no store, and somebody had been told"] if told else []
        return
    try:
        store = Store(path)
    except SentinelError as error:
        found.lost.append(f"cut {found.cuts}: {error}")
        return
    try:
        store.verify()
        notices = {str(one.id): one for one in all_notices(store)}
        found.lost += [f"cut {found.cuts}: {title} rang and is not known" for _, (n, title) in told if n not in notices]
        said = {row["note"] for row in fetch(store, "select note from answers")}
        found.lost += [f"cut {found.cuts}: {note}: not known" for _, (note,) in thanked if note not in said]
    except SentinelError as error:
        found.lost.append(f"cut {found.cuts}: {error}")
    finally:
        store.close()


def _begin_again(folder: Path, recorded: Recorded, moment: int, phone: Phone, found: Found) -> None:
    """`sentinel once` on what is left: every export is read, every cow rings once, and nobody who was told is again."""
    done = recorded.done[:moment]
    told = {notice: (place, title) for place, (notice, title) in _marked(done, "delivered")}
    heard = len(phone.messages)
    ended = subprocess.run(
        [sys.executable, "-m", "sentinel", "once", str(folder)], capture_output=True, text=True, check=False
    )
    name = f"cut {found.cuts}"
    found.begun_again += 1
    if ended.returncode:
        found.lost.append(f"{name}: once: {ended.stderr}")
        return
    store = Store(folder / STORE_NAME)
    try:
        cows = {row["cow"] for row in fetch(store, "select cow from visits")}
        alerts = Counter(alert.subject.removeprefix("cow:") for alert in all_alerts(store))
        store.verify()
    finally:
        store.close()
    wanted = {one.stem.split("_")[1] for one in recorded.exports.iterdir()}
    found.lost += [f"{name}: cow {cow}'s milking is not there" for cow in sorted(wanted - cows)]
    found.lost += [f"{name}: cow {cow} has no alert" for cow in sorted(wanted - set(alerts))]
    found.doubled += [f"{name}: cow {cow} has {many} alerts" for cow, many in alerts.items() if many > 1]
    again = phone.messages[heard:]
    rung = [*(title for _, title in told.values()), *(_lines(again))]
    found.lost += [f"{name}: nobody was told of cow {cow}" for cow in sorted(wanted) if not _named(cow, rung)]
    for one in again:
        if one.notice not in told:
            continue
        place, title = told[one.notice]
        syncs = sum(each.operation == "s" and each.path.endswith("-wal") for each in done[place:])
        if one.title != title:
            found.lost.append(f"{name}: {title} and {one.title} have one number")
        elif syncs >= NOTED_AFTER:
            found.doubled.append(f"{name}: {title} rang again")


def _lines(messages: Sequence[Message]) -> list[str]:
    return [line for one in messages for line in (one.title, *one.body.split("\n"))]


def _named(cow: str, lines: Sequence[str]) -> bool:
    return any(re.search(rf"\bCow {cow}\b", line) for line in lines)


def power_cut(place: Path, cuts: int, cows: int = 30, seed: int = 1) -> tuple[Faced, Found]:
    """Record a farm of its own at work, and cut its power so often."""
    with Phone() as phone:
        recorded = record(place, phone, cows)
        found = cut(recorded, place, phone, cuts, seed)
    return (
        Faced("power cut", found.cuts, len(found.lost), len(found.doubled), 0.0, recorded.memory_mb),
        found,
    )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        faced, all_of_it = power_cut(Path(made), int(sys.argv[1]) if sys.argv[1:] else 1000)
        sys.stdout.write("\n".join([*all_of_it.lost, *all_of_it.doubled, str(faced), f"{all_of_it.begun_again}", ""]))
