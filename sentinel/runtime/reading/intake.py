"""What a look at the inbox found: read, stored and remembered, and anything wrong reported once.

Of a backlog some files are read after newer ones (`edges.inbox.reading_order`). Where one that was read before its turn
tells of the time of those, it is read once more after them, so that its word is the last, as it would have been.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import astuple
from functools import partial

from sentinel.edges.inbox import Found, Inbox, Scan, Seen, Waiting
from sentinel.edges.memory import MUCH, give_back
from sentinel.edges.store.exports import rereads
from sentinel.edges.store.exports.feeds import newest_file, put_seen
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.feeds import FeedMap, complete_until
from sentinel.flow.feeds.trial.farm_boxes import MOST, boxes_in, strange_box
from sentinel.flow.model import Batch, Entry, Export
from sentinel.flow.tables import VISITS, table_named
from sentinel.runtime.engine import Engine
from sentinel.runtime.events import Read, waiting_words
from sentinel.runtime.health.monitor import Monitor
from sentinel.runtime.reading.export_reading import absorb
from sentinel.runtime.reading.rereading import Rereading, is_wanted

MOUNT = "inbox_mount"
"""Under this name the store remembers which inbox had files, and where it was mounted."""


class Intake:
    """Takes in what the looks at one farm's inbox find; `heard` is told what happens.

    `rereads`: whether the next look will find what was read before its turn, as its turn has come.
    `rereading`: the pass over files that are read again, while there is one.
    """

    def __init__(self, engine: Engine, monitor: Monitor, heard: Callable[[object], None]) -> None:
        self._engine = engine
        self._store = engine.store
        self._monitor = monitor
        self._heard = heard
        self._said: dict[str, str] = {}
        self._again: set[str] = set()
        self._boxes_told: set[str] = set()
        self.rereads = False
        self.rereading: Rereading | None = None
        self.met: set[str] = set()
        self._left_alone = rereads.withdrawn(engine.store)

    def begin_rereading(self, inbox: Inbox, at: int) -> bool:
        """Begin to read again what must be; whether there is anything."""
        if not is_wanted(self._engine):
            return False
        rereading, self.met = Rereading(self._engine, inbox, self._heard), set()
        rereading.begin(at)
        self._left_alone = rereads.withdrawn(self._store)
        if not rereading.names:
            rereading.end(at, self.met)
            return False
        self.rereading = rereading
        return True

    def end_rereading(self, at: int) -> bool:
        """All is read again: take back what is given no longer; whether any file must be waited for."""
        assert self.rereading is not None
        self.rereading.end(at, self.met)
        late, self.rereading = self.rereading.late, None
        return bool(late)

    def mount_of(self, folder: str) -> str:
        """Where an inbox was mounted when it last had files; "" if that is not known."""
        before, _, mount = (self._store.meta(MOUNT) or "").partition("\n")
        return mount if before == folder else ""

    def look(self, inbox: Inbox, scan: Scan) -> None:
        """Tell what is waited for or gone, and remember what has only a new stamp."""
        self._monitor.inbox_away(scan.away)
        if inbox.mount and inbox.mount != self.mount_of(str(inbox.folder)):
            self._store.put_meta(MOUNT, f"{inbox.folder}\n{inbox.mount}")
        self._tell_waiting(scan.waiting, scan.gone)
        self._remember(inbox, scan.unchanged)

    def take(self, inbox: Inbox, at: int, scan: Scan) -> list[Entry]:
        """Read and store what a scan found, in its order; the entries about what could not be."""
        entries = self.problems(at, scan.problems)
        for seen in scan.unchanged:
            self._absorb_unchanged(at, seen)
        left = scan.left + scan.deferred + len(scan.files)
        for n, file in enumerate(scan.files, 1):
            entries += self._absorb(inbox, at, file, left - n, scan)
        if sum(len(file.content) for file in scan.files) > MUCH:
            give_back(self._store.shrink_memory)  # before the rows are read into the window: not both at a time
        self.rereads = bool(self._again) and not scan.deferred
        if self.rereads:
            inbox.forget(self._again)
            self._again = set()
        return entries

    def tells(self, scan: Scan) -> bool:
        """Whether a file came again unchanged that shows that its feed has nothing new to tell."""
        return any(self._shows_nothing_new(seen) is not None for seen in scan.unchanged)

    def _shows_nothing_new(self, seen: Seen) -> FeedMap | None:
        """The map of a feed of visits of which a file that came again unchanged is the newest; None if it is not."""
        feed = self._engine.setup.map_for(seen.name)
        if feed is None or VISITS.name not in feed.table_names or seen.name in self._left_alone:
            return None
        return feed if newest_file(self._store, feed.feed) == seen.name else None

    def _absorb_unchanged(self, at: int, seen: Seen) -> None:
        """A file was written anew as it was: there was nothing to tell, up to its stamp if its map says so."""
        feed = self._shows_nothing_new(seen)
        if feed is not None and self.rereading is None:
            written = Export(seen.name, b"", seen.mtime_ns // 10**9)
            until = complete_until(feed, written, self._engine.setup.farm.zone)
            again = Batch(feed.feed, seen.name, complete_until=until, sha256=seen.sha256, continues=True)
            self._engine.absorb(at, again)

    def problems(self, at: int, complaints: Iterable[object]) -> list[Entry]:
        """Something is wrong at the edge: it goes into the log and to any listener."""
        entries = [Entry(at, "problem", body={"said": str(one)}) for one in complaints]
        for entry in entries:
            self._heard(str(entry.body["said"]))
        return entries

    def _absorb(self, inbox: Inbox, at: int, file: Found, left: int, scan: Scan) -> list[Entry]:
        """Read one export and store it; an export for which there is no map is told once and left alone."""
        export = Export(file.name, file.content, file.modified_at, file.read_from)
        again = self.rereading if self.rereading is not None and file.name in self.rereading.names else None
        self.met.add(file.name)
        if file.name in self._left_alone:
            if again:
                again.read(file.name, export, None)
            self._remember(inbox, [file.seen])
            self._heard(f"{file.name} is left alone; `sentinel reread {file.name}` reads it again")
            return []
        failed = partial(self._monitor.file_failed, file.name)
        early = file.modified_at > scan.deferred_until > 0

        def seen(batch: Batch) -> None:
            if early and reaches(batch, scan.deferred_until):  # nor remembered by the store: a kill must not keep it so
                self._again.add(file.name)
            else:
                put_seen(self._store, astuple(file.seen))

        with inbox.under_way.reading(file.name, file.seen.stamp):
            reread = again.reread_of(file.name) if again else None
            batch = absorb(self._engine, at, export, file.refused, seen, failed, reread)
            if again:
                again.read(file.name, export, batch)
        if batch is None:
            self._remember(inbox, [file.seen])
            sentence = f"{file.name}: no feed map is for this file; `sentinel map` drafts one"
            return self.problems(at, [sentence])
        inbox.settled(file.name, file.seen)
        self._monitor.turn()
        self._tell_boxes(batch)
        rows = sum(len(table.values) for one in batch.every for table in one.rows)
        aside = sum(len(one.set_aside) for one in batch.every)
        self._heard(Read(file.name, batch.feed, rows, aside, left))
        return []

    def _tell_boxes(self, batch: Batch) -> None:
        """A box that the farm has not named is told of once, as long as this runs."""
        boxes = self._engine.setup.farm.boxes
        named = [found for one in batch.every for found in boxes_in(one).items()]
        for box, line in named:
            if box not in boxes and box not in self._boxes_told and len(self._boxes_told) < MOST:
                self._boxes_told.add(box)
                self._heard(f"{strange_box(box, f'{batch.file}:{line}', boxes)}: see boxes in farm.yaml")

    def _remember(self, inbox: Inbox, seen: Iterable[Seen]) -> None:
        for one in seen:
            put_seen(self._store, astuple(one))
            inbox.settled(one.name, one)

    def _tell_waiting(self, waiting: Iterable[Waiting], gone: Iterable[str]) -> None:
        """Files still being written are waited for, and said so once each; so is one that goes before it is whole."""
        for name in gone:
            if self._engine.setup.map_for(name):  # a part file that gets its name may go
                self._heard(f"{name} was taken away before it was complete; nothing of it was read")
        now = {one.name: one.why for one in waiting}
        for sentence in waiting_words(now, self._said):
            self._heard(sentence)
        self._said = now


def reaches(batch: Batch, until: int) -> bool:
    """Whether a batch holds anything that an export written at `until` may hold as well."""
    for rows in batch.rows:
        table = table_named(table_named(rows.table).stored_as)
        place = rows.columns.index(table.happened)
        if any(values[place] <= until + AHEAD_S for values in rows.values):
            return True
    return False
