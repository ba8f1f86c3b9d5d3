"""Files that were read before, read again: because their feed map has changed, or because somebody asked for it.

What a feed's files no longer give is taken back at the end, in one piece and before anything is decided: rows of two
maps side by side would compare pounds with kilograms. A kill in between changes nothing: it all begins anew, as what
was read by which settings is only noted when it is done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from sentinel.edges.inbox import Inbox
from sentinel.edges.store.exports import rereads
from sentinel.edges.store.exports.feeds import seen_files
from sentinel.edges.store.exports.taking_back import rows_from
from sentinel.flow.again_and_pages import Reread
from sentinel.flow.feeds import ADE_FEEDS, FeedMap
from sentinel.flow.feeds.rereading import (
    WITHDRAWN,
    Given,
    map_changes,
    no_longer_given,
    reads_versions_alike,
    rows_changed,
    way_of_reading,
)
from sentinel.flow.model import Batch, Export
from sentinel.flow.setup import Setup, read_setup
from sentinel.runtime.engine import Engine
from sentinel.runtime.ticks import batch_of

NAMED = 3
"""So many files are named in what is said; the log names more."""


@dataclass
class _Feed:
    """What is found of one feed while files are read again: what its maps gave of them."""

    was: Given = field(default_factory=Given)
    because: str = ""
    files: dict[str, bool] = field(default_factory=dict)
    gone: list[str] = field(default_factory=list)


class Rereading:
    """One pass over the files that must be read again, those that `names` holds.

    `late`: files that could not be read in it, as they are being written. `hear` is told what is done. Before the inbox
    is looked through `begin`, then for each file `read`, at last `end`.
    """

    def __init__(self, engine: Engine, inbox: Inbox, hear: Callable[[object], None]) -> None:
        """Find out which files must be read again; none if nothing has changed and nobody asked."""
        self._engine, self._inbox, self._hear = engine, inbox, hear
        self._store = engine.store
        self._number = rereads.settings_number(self._store)
        self._by = rereads.read_by(self._store) or self._number
        self._asked = [one for one in rereads.asked(self._store) if one.tried != self._number]
        self._withdrawn = rereads.withdrawn(self._store)
        self._feeds: dict[str, _Feed] = {}
        self._now: dict[str, Given] = {}
        self._unread: list[str] = []
        self._taken_back: set[str] = set()
        self._by_hand: dict[str, str] = {}
        self._since: dict[str, int] = {}
        self.late: list[str] = []
        self.names = self._chosen()

    @property
    def _setup(self) -> Setup:
        return self._engine.setup

    def _chosen(self) -> dict[str, list[Setup]]:
        """The files to be read again, each with the settings that it may have been read by."""
        seen = [file.name for file in seen_files(self._store)]
        read = rereads.files_read(self._store)
        feed_of: dict[str, set[str]] = {}
        for one in read:
            feed_of.setdefault(one.file, set()).add(one.feed)
        names = list(dict.fromkeys([*seen, *feed_of]))
        past = self._past(min([self._by, *(one.since for one in self._asked)]))
        chosen: dict[str, list[Setup]] = {}
        for name in names:
            asked = [one for one in self._asked if one.name == name or one.name in feed_of.get(name, ())]
            since = min([self._by, *(one.since for one in asked)])
            was = [setup for number, setup in past if number >= since]
            now = way_of(self._setup, name)
            if any(one.withdraw for one in asked):
                self._taken_back.add(name)
            if asked:
                self._by_hand[name] = asked[-1].name
                chosen[name] = [*was, self._setup]
            elif any(way_of(one, name) != now for one in was):
                chosen[name] = [one for one in was if way_of(one, name) != now]
            self._since[name] = since
        return chosen

    def _past(self, since: int) -> list[tuple[int, Setup]]:
        """The settings from those with a number on that differ in how files are read, but for those of now."""
        found: list[tuple[int, Setup]] = []
        if since >= self._number:
            return found
        for number, texts in enumerate(rereads.texts_since(self._store, since), since):
            setup, _ = read_setup(texts)
            if setup is not None and number < self._number:
                found.append((number, setup))
        return found

    def begin(self, at: int) -> None:
        """Have the inbox give the files again, and say so."""
        for file in {one.name for one in self._asked}:
            withdraw = any(one.withdraw for one in self._asked if one.name == file)
            of_it = [name for name, by in self._by_hand.items() if by == file] or [file]
            rereads.put_withdrawn(self._store, of_it, at, withdraw=withdraw)
        self._withdrawn = rereads.withdrawn(self._store)
        self._inbox.forget(self.names)
        many = len(self.names)
        if many:
            first = next(iter(self.names))
            self._hear(f"{self._why(first)}: {many} file{'s' * (many > 1)} read again, first {first}")

    def _why(self, name: str) -> str:
        """Why a file is read again."""
        if name in self._by_hand:
            return f"sentinel reread {self._by_hand[name]}"
        was = next(one for one in self.names[name] if way_of(one, name) != way_of(self._setup, name))
        return _edit(was, self._setup, name)

    def is_withdrawn(self, name: str) -> bool:
        """Whether somebody had a file taken back, so that it is left alone."""
        return name in self._withdrawn

    def reread_of(self, name: str) -> Reread:
        """Why a file is read again, as it is kept with what it gives."""
        pairs = [pair for one in self.names[name] for pair in _maps_then_and_now(one, self._setup, name)]
        alike = all(reads_versions_alike(was, now) for was, now in pairs)
        return Reread(self._why(name), versions=not alike)

    def read(self, name: str, export: Export, batch: Batch | None) -> None:
        """A file was given by the inbox, and `batch` read from it, None if it has no map or is left alone."""
        every = () if batch is None else batch.every
        refused = {one.feed for one in every if _is_refused(one)}
        if refused:
            self._unread.append(name)
        if every and len(refused) == len(every):
            return
        for feed, old, newest in self._read_before(name, export):
            if feed in refused:  # of the maps that share the file the others are done with
                continue
            known = self._feed(feed, name)
            known.was.add(old, weighed=newest)
            known.files[name] = feed in [one.feed for one in every]
        for one in every:
            self._now.setdefault(one.feed, Given()).add(one)

    def _read_before(self, name: str, export: Export) -> Iterable[tuple[str, Batch, bool]]:
        """What a file gives by each of the settings that it may have been read by, with the feed that it was then.

        And whether those are the newest of them, by which it stands as it does.
        """
        done: list[object] = []
        for setup in reversed(self.names[name]):
            way = way_of(setup, name)
            if way is None or way in done:
                continue
            done.append(way)
            old = batch_of(setup, export)
            for one in () if old is None else old.every:
                yield one.feed, one, len(done) == 1

    def _feed(self, feed: str, name: str) -> _Feed:
        known = self._feeds.setdefault(feed, _Feed())
        known.because = known.because or self._why(name)
        return known

    def end(self, at: int, met: set[str]) -> None:
        """Take back what is given no longer, now that the files in `met` were read; what could not be is left.

        Raises nothing of its own: what fails is tried again with the next look.
        """
        self._note_gone(met)
        for name in sorted(self._taken_back):
            self._take_all(name)
        for feed, known in self._feeds.items():
            now = self._now.setdefault(feed, Given())
            self._add_told_elsewhere(feed, known.was, now)
            changed = rows_changed(known.was, now)
            reread = Reread(known.because, files=known.files, gone=known.gone, changed=changed)
            back = no_longer_given(feed, known.was, now, reread)
            self._engine.absorb(at, back)
            rows = changed + sum(len(part.values) for part in back.rows if WITHDRAWN in part.columns)
            self._hear(f"{known.because}: {len(known.files)} files of {feed} read again, {rows} rows not as before")
            if known.gone:
                named = ", ".join(known.gone[:NAMED]) + (" ..." if len(known.gone) > NAMED else "")
                self._hear(
                    f"{len(known.gone)} files of {feed} are not there any more, and what they gave stays: {named}; "
                    "`sentinel reread FILE --withdraw` takes it back"
                )
        self._settle(at, met)

    def _note_gone(self, met: set[str]) -> None:
        for one in rereads.files_read(self._store):
            if one.file in self.names and one.file not in met and not self._inbox.is_there(one.file):
                if one.file not in self._taken_back:
                    self._feed(one.feed, one.file).gone.append(one.file)

    def _take_all(self, name: str) -> None:
        """All that first came with a file is taken back."""
        for one in rereads.files_read(self._store):
            if one.file == name:
                known = self._feed(one.feed, name)
                known.files[name] = False
                for table, keys in rows_from(self._store, one.feed, name).items():
                    known.was.keys.setdefault(table, set()).update(keys)

    def _add_told_elsewhere(self, feed: str, was: Given, now: Given) -> None:
        """What other files of the feed give as well stays: those that are read as before are asked for it."""
        for one in rereads.files_read(self._store):
            missing = any(keys - now.keys.get(table, set()) for table, keys in was.keys.items())
            if not missing:
                return
            if one.feed != feed or one.file in self.names or one.file in self._withdrawn:
                continue
            content = self._inbox.content_of(one.file)
            batch = batch_of(self._setup, Export(one.file, content, 0)) if content is not None else None
            for one_of_it in () if batch is None else batch.every:
                if one_of_it.feed == feed:
                    now.add(one_of_it)

    def _settle(self, at: int, met: set[str]) -> None:
        """Note what is done; what the new map could not read, or what is being written, is tried again later."""
        self.late = late = [name for name in self.names if name not in met and self._inbox.is_there(name)]
        with self._store.writing():
            rereads.put_done(self._store, [one.number for one in self._asked], at)
            for name in [*self._unread, *late]:
                rereads.ask(self._store, name, at, since=self._since[name])
            for one in rereads.asked(self._store):
                if one.name in self._unread:
                    rereads.tried(self._store, one.number, self._number)
            rereads.put_read_by(self._store, self._number)


def is_wanted(engine: Engine) -> bool:
    """Whether anything must be read again: the settings have changed since all was read, or somebody asked."""
    store = engine.store
    number = rereads.settings_number(store)
    return rereads.read_by(store) != number or any(one.tried != number for one in rereads.asked(store))


def way_of(setup: Setup, name: str) -> object:
    """What decides how a file of this name is read; None if no map is for it."""
    feeds = setup.maps_for(name)
    if feeds:
        return tuple(way_of_reading(feed, setup.farm.zone) for feed in feeds)
    used = tuple(one for one in ADE_FEEDS if one not in setup.farm.not_used)
    return used if used and name.lower().endswith(".json") else None


def _edit(was: Setup, now: Setup, name: str) -> str:
    """Which edit made a file be read otherwise: of which file of the farm's, and what was changed in it."""
    pairs = _maps_then_and_now(was, now, name)
    if not pairs:
        return "farm.yaml"
    changed = [
        text
        for text in sorted({*was.texts, *now.texts})
        if text.startswith("feeds/") and was.texts.get(text) != now.texts.get(text)
    ]
    files = ", ".join(changed[:NAMED]) or "farm.yaml"
    changes = [change for before, after in pairs for change in map_changes(before, after)]
    return f"{files}: {'; '.join(changes)}" if changes else files


def _maps_then_and_now(was: Setup, now: Setup, name: str) -> list[tuple[FeedMap | None, FeedMap | None]]:
    """Of each feed of a file the map that it had and the one that it has; where one map read the file and one reads it,
    these two, by whatever name."""
    before, after = ({feed.feed: feed for feed in one.maps_for(name)} for one in (was, now))
    if len(before) == len(after) == 1:
        return list(zip(before.values(), after.values(), strict=True))
    return [(before.get(feed), after.get(feed)) for feed in dict.fromkeys([*before, *after])]


def _is_refused(batch: Batch) -> bool:
    """Whether a file was set aside whole, so that nobody knows what it holds."""
    return not batch.rows and any(one.line == 0 for one in batch.set_aside)
