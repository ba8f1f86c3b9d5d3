"""The newest files of each feed tried by its map, as the intake would read them; nothing is stored and nothing changed.

Each file is read within the same bounds, a workbook in a process of its own, and one in which the process ended twice
before is left alone.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from sentinel.edges.apart import rows_apart
from sentinel.edges.inbox import UnderWay
from sentinel.edges.inbox.complete import complete_part
from sentinel.edges.inbox.files import Stamp, read
from sentinel.edges.inbox.listing import exports_in
from sentinel.flow.bounds import USUAL, cut
from sentinel.flow.feeds import ICAR, looks_like_icar, read_export
from sentinel.flow.feeds.trial.findings import findings, map_findings
from sentinel.flow.feeds.trial.patterns import Matched
from sentinel.flow.feeds.trial.tried import NEWEST, MapFile, Tried, draft_map, map_files, tried
from sentinel.flow.model import Batch, Export, Problem
from sentinel.flow.reasons import Reason
from sentinel.flow.setup import Setup
from sentinel.runtime.ticks import as_written, refused_whole

log = logging.getLogger("sentinel")

FEW, SMALL = 1, 1_000_000
"""In passing so many files of each feed are tried, of at most so many bytes; an older one is tried if as small."""

OLD_S = 60
"""A file unchanged for so long is read as it is, however it ends; of a younger one what is complete."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What each feed's newest files gave, what is to be asked, and how many files lie in the inbox."""

    feeds: list[Tried] = field(default_factory=list)
    findings: list[Problem] = field(default_factory=list)
    files: int = 0


@dataclass(slots=True)
class _Inbox:
    """The files of an inbox that may be tried; with `largest` only those of at most so many bytes."""

    folder: Path
    setup: Setup
    at: int
    under_way: UnderWay
    largest: int | None
    stamps: dict[str, tuple[str, Stamp]] = field(default_factory=dict)

    def export(self, name: str) -> Export | None:
        """One file as far as it is complete; None if it cannot be had now, or is too large."""
        path, stamp = self.stamps[name]
        size, mtime_ns, _ = stamp
        if self.largest is not None and size > self.largest:
            return None
        try:
            content, _ = read(path, os.path.realpath(self.folder), self.setup.farm.one_file.size + 1)
        except OSError:
            return None
        if self.at - mtime_ns // 1_000_000_000 < OLD_S:
            content = content[: complete_part(name, content)[0]]
        return Export(name, content, mtime_ns // 1_000_000_000) if content else None

    def batch(self, name: str) -> tuple[int, Batch] | None:
        """What one file gives, and when it was written; None if it is none that can be read now."""
        stamp = self.stamps[name][1]
        why = self.under_way.given_up(name, stamp)
        export = Export(name, b"", stamp[1] // 1_000_000_000) if why else self.export(name)
        if export is None:
            return None
        try:
            with self.under_way.reading(name, stamp):
                batch = refused_whole(self.setup, export, why) if why else as_written(self.setup, export)
        except Exception as error:  # the file's own fault, as the intake takes it
            log.debug("trying %s failed", name, exc_info=True)
            batch = refused_whole(self.setup, export, Reason("reading-failed", detail=cut(str(error), 200)))
        return None if batch is None else (export.modified_at, batch)


def try_newest(
    setup: Setup,
    folder: Path,
    at: int,
    under_way: UnderWay | None = None,
    newest: int = NEWEST,
    largest: int | None = None,
    strangers: bool = True,
    boxes: bool = True,
) -> Trial:
    """Try the newest files in an inbox folder; `at` is the time by which files are stamped.

    `largest`: files of more bytes are left out; by default one that is too large to be read is told. Without
    `strangers` files that nothing reads are not told, without `boxes` those that the farm does not name.
    """
    inbox = _Inbox(folder, setup, at, under_way or UnderWay(None), largest)
    maps = map_files(setup.texts, setup.feeds)
    found = Matched()
    for name, path, stamp in exports_in(folder):
        if found.add(maps, name, stamp[1]):
            inbox.stamps[name] = (path, stamp)
    feeds = []
    for place, of_map in enumerate(maps):
        names = [name for _, name in found.newest.get(place, [])][:newest]
        if names and largest is None:
            older = [name for name in found.older[place].some() if name not in names]
            names += [name for name in older if inbox.stamps[name][1][0] <= SMALL]
        if names:
            feeds.append(tried(of_map, found.number[place], _batches(inbox, names, of_map.name)))
    known = {}
    if ICAR not in setup.farm.not_used:
        known = {kind: _needs_no_map(inbox, names[0][1]) for kind, names in found.strangers.items()}
        standard = sorted(
            (one for kind, names in found.strangers.items() if known[kind] for one in names), reverse=True
        )
        if standard:
            there = sum(found.strangers_number[kind] for kind in known if known[kind])
            names = [name for _, name in standard[:newest]]
            feeds.append(tried(MapFile(ICAR), there, _batches(inbox, names)))
    known = known if strangers else dict.fromkeys(found.strangers, True)
    return Trial(feeds, findings(setup.texts, maps, found, known, feeds, boxes=boxes), found.files)


def asked_in_passing(setup: Setup, folder: Path, at: int, under_way: UnderWay) -> list[Problem]:
    """What is to be asked of the maps by the newest file of each feed, if it is small: for who has other things to do.

    Files that nothing reads and boxes that the farm does not name the intake tells itself. Raises nothing: what
    keeps it from being told is in the log.
    """
    try:
        return try_newest(setup, folder, at, under_way, FEW, SMALL, strangers=False, boxes=False).findings
    except Exception:
        log.exception("the feed maps could not be tried on the newest exports")
        return []


def try_draft(text: str, name: str, export: Export, zone: str) -> list[Problem]:
    """What is to be asked of a map that is in no farm folder yet, tried on one export; `name` is the map's own."""
    of_map, problems = draft_map(text, name)
    if of_map is None or of_map.feed is None:
        return [*problems, *map_findings(text, name, [])]
    batch = read_export(of_map.feed, export, zone, USUAL, rows_apart)
    return map_findings(text, name, [tried(of_map, 1, [(export.modified_at, batch)])])


def _batches(inbox: _Inbox, names: list[str], feed: str = "") -> Iterator[tuple[int, Batch]]:
    """What files give, or of those that several maps read what they give for one feed."""
    for name in names:
        read_ = inbox.batch(name)
        batch = None if read_ is None else next((one for one in read_[1].every if not feed or one.feed == feed), None)
        if read_ is not None and batch is not None:
            yield read_[0], batch


def _needs_no_map(inbox: _Inbox, name: str) -> bool:
    """Whether a file that no map is for is milking visits in the open standard."""
    if not name.lower().endswith(".json"):
        return False
    export = inbox.export(name)
    return export is not None and looks_like_icar(export)
