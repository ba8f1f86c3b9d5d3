"""Whether sentinel itself is at work, in ten lines: from what the running service left, the store and the computer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sentinel.edges.machine import memory_total, room_of
from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.history import last_known
from sentinel.edges.store.outbox import first_stuck_delivery, last_ended_delivery
from sentinel.flow.evaluation.quiet import quiet_since
from sentinel.flow.language import shown_time
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.reasons import in_english
from sentinel.flow.setup import Setup, farm_facts
from sentinel.runtime.known.feed_files import ShownByFiles
from sentinel.runtime.known.feed_paces import FeedPaces

BACKED_UP_AT = "backed_up_at"
"""Under this name the store remembers when it was last copied."""

BACKUP_OLD_S = 8 * DAY_S
"""A copy older than a week and a day is old: our choice."""

LOOK_OLD_S = 120
"""Without a whole look for so long, or for four times `look_every`, sentinel is not at work: our choice."""

STUCK_S = 600
"""A notice that a channel has not taken for so long says that it does not deliver: our choice."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the status: about what, whether it is as it should be, and how it is in words."""

    about: str
    ok: bool
    text: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked at `at`: the farm folder, its settings and store, the state that the service left.

    `store`: None if it cannot be opened. `runs`: whether it runs now; `pings`: whether an address is pinged after each
    whole look.
    """

    folder: Path
    setup: Setup
    store: Store | None
    state: Mapping[str, Any]
    runs: bool
    pings: bool
    at: int

    @property
    def kept(self) -> Store:
        """The store, where it can be opened."""
        assert self.store is not None
        return self.store

    def time(self, moment: int) -> str:
        """A moment on the farm's clock."""
        return shown_time(moment, self.at, self.setup.farm.zone)


def status(asked: Asked) -> list[Line]:
    """The lines, in the order in which to look."""
    parts = (_service, _look, _feeds, _rules, _channels, _disk, _memory, _clock, _backup, _outside)
    return [part(asked) for part in parts if asked.store is not None or part not in _OF_THE_STORE]


def span(seconds: float) -> str:
    """A length of time in words, in the largest unit that fits.

    >>> span(12), span(600), span(3 * 3600), span(9 * 86400)
    ('12 s', '10 min', '3 h', '9 d')
    """
    for unit, length in (("d", DAY_S), ("h", HOUR_S), ("min", 60)):
        if seconds >= 2 * length or (unit != "d" and seconds >= length):
            return f"{seconds // length:.0f} {unit}"
    return f"{max(0, seconds):.0f} s"


def _service(asked: Asked) -> Line:
    if asked.runs and asked.state.get("running"):
        return Line("service", True, f"runs since {asked.time(asked.state['begun_at'])} (process {asked.state['pid']})")
    if asked.runs:
        return Line("service", True, "another sentinel is at work here")
    seen = asked.state.get("written_at")
    return Line("service", False, f"does not run{f'; last seen {asked.time(seen)}' if seen else ''}")


def _look(asked: Asked) -> Line:
    looked, failing = asked.state.get("looked_at"), asked.state.get("failing_since")
    ago = "none was whole yet" if looked is None else f"{span(asked.at - looked)} ago"
    if failing is not None:
        return Line("last look", False, f"{ago}; they fail since {asked.time(failing)}: {asked.state.get('why', '')}")
    old = looked is None or asked.at - looked > max(LOOK_OLD_S, 4 * asked.setup.farm.look_every_s)
    return Line("last look", not old, ago)


def _feeds(asked: Asked) -> Line:
    since = int(asked.kept.meta("watched_since") or asked.at)
    known, files = FeedPaces(asked.kept), ShownByFiles(asked.kept).at(asked.at)
    feeds = farm_facts(asked.setup, feed_state(asked.kept), since, {}, known.at(asked.at), files, known.lags).feeds
    away = [str(one.get("why", "")) for one in asked.state.get("troubles", []) if one.get("kind") == "inbox"]
    amiss = away if asked.runs else []
    amiss += [f"{one.name} was not read yet" for one in feeds if one.known_until is None]
    amiss += [
        f"{one.name} is quiet, known until {asked.time(one.known_until)}"
        for one in feeds
        if one.known_until is not None and quiet_since(one, asked.at) is not None
    ]
    read = sum(one.known_until is not None for one in feeds)
    return Line("feeds", bool(feeds) and not amiss, "; ".join([f"{read} of {len(feeds)} read", *amiss]))


def _rules(asked: Asked) -> Line:
    if not asked.runs:
        return Line("rules", False, "none is decided while it does not run")
    decided, failing = asked.state.get("rules", 0), asked.state.get("failing", [])
    waiting = len(asked.setup.rules) - decided - len(failing)
    parts = [f"{decided} of {len(asked.setup.rules)} decided"]
    parts += [f"{waiting} wait for a feed that was not read yet"] if waiting > 0 else []
    parts += [f"{rule} cannot be decided" for rule in failing]
    return Line("rules", not failing and decided > 0, "; ".join(parts))


def _channels(asked: Asked) -> Line:
    channels = dict.fromkeys(channel for person in asked.setup.people for channel in person.channels)
    if not channels:
        return Line("channels", True, "none, as people.yaml has `channels: []`: nobody is told, alerts are on the page")
    amiss = [sentence for channel in channels if (sentence := _channel(asked, channel))]
    works = len(channels) - len(amiss)
    return Line("channels", not amiss, "; ".join([f"{works} of {len(channels)} in order", *amiss]))


def _channel(asked: Asked, channel: str) -> str:
    """What is the matter with a channel, in words; "" if nothing is."""
    ended, stuck = last_ended_delivery(asked.kept, channel), first_stuck_delivery(asked.kept, channel)
    if ended is not None and ended.outcome == "gave_up":
        return f"{channel} does not deliver since {asked.time(ended.at)}: {in_english(ended.detail)}"
    if stuck is not None and asked.at - stuck[0] > STUCK_S:
        return f"{channel} takes nothing since {asked.time(stuck[0])}: {in_english(stuck[1])}"
    return ""


def _disk(asked: Asked) -> Line:
    room = room_of(asked.folder)
    if room is None:
        return Line("disk", False, "it cannot be asked")
    free = f"{room.free / 1e9:.1f} GB free" if room.free >= 1e9 else f"{room.free / 1e6:.0f} MB free"
    if room.full:
        return Line("disk", False, f"full ({free})")
    unwritten = [one for one in asked.state.get("troubles", []) if one.get("kind") in ("disk-full", "store")]
    if asked.runs and unwritten:
        return Line("disk", False, f"{free}, but nothing can be written: {unwritten[0].get('why', '')}")
    return Line("disk", not room.low, f"nearly full: {free}" if room.low else free)


def _memory(asked: Asked) -> Line:
    used, total = asked.state.get("memory"), memory_total()
    if not asked.runs or used is None:
        return Line("memory", True, "not in use" if not asked.runs else "not known")
    of = f" of {total / 1e6:.0f} MB" if total else ""
    return Line("memory", not total or used < total / 2, f"{used / 1e6:.0f}{of or ' MB'}")


def _clock(asked: Asked) -> Line:
    recorded = last_known(asked.kept)
    if recorded is not None and recorded - asked.at > LOOK_OLD_S:
        return Line("clock", False, f"stands {span(recorded - asked.at)} before what was recorded last")
    jumped = [one for one in asked.state.get("troubles", []) if one.get("kind") == "clock"]
    if asked.runs and jumped:
        return Line("clock", False, f"jumped {asked.time(jumped[0]['since'])}")
    return Line("clock", True, f"{asked.time(asked.at)}, after all that was recorded")


def _backup(asked: Asked) -> Line:
    kept = asked.kept.meta(BACKED_UP_AT)
    if kept is None:
        return Line("backup", True, "none was made yet; `sentinel backup` makes one")
    age = asked.at - int(kept)
    return Line("backup", age <= BACKUP_OLD_S, f"{span(age)} old")


def _outside(asked: Asked) -> Line:
    if not asked.pings:
        return Line("outside", True, "nobody is pinged (farm.yaml: ping)")
    works = asked.state.get("ping")
    sentence = {True: "the ping is answered", False: "the ping is not answered", None: "not pinged yet"}[works]
    return Line("outside", works is not False, sentence)


_OF_THE_STORE = (_feeds, _channels, _clock, _backup)
"""What cannot be told without the store."""
