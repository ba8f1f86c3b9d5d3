"""The files of a folder of exports by kind, and what they show of the farm: its boxes, chores and rounds."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from sentinel.flow.feeds.drafting.guessing.guess import Guesses
from sentinel.flow.feeds.drafting.lexicon.cell_words import our_words
from sentinel.flow.feeds.drafting.sample.sniff import sniff
from sentinel.flow.feeds.formats.icar import looks_like_icar, read_icar
from sentinel.flow.model import Export

SAMPLES = 12
"""Between so many files of a kind and twice as many are looked at together, spread over all of them."""

CHORES: Mapping[str, str] = {
    "filter_changed": "filter",
    "washed": "wash",
    "optics_cleaned": "optics",
    "arm_calibrated": "arm",
}
"""What a box's log may tell of, to the chore it records."""

_BY_HAND = ("filter_changed", "optics_cleaned", "arm_calibrated")
_APART_S = 2.5 * 3600
_ENOUGH = 4


@dataclass(frozen=True, slots=True)
class Kind:
    """Files of one kind: their names, some of them as samples, and why no map can be drafted ("" if one can)."""

    names: tuple[str, ...]
    samples: tuple[Export, ...]
    trouble: str = ""
    icar: bool = False


@dataclass(slots=True)
class _Gathered:
    names: list[str] = field(default_factory=list)
    samples: list[Export] = field(default_factory=list)
    trouble: str = ""
    icar: bool = False
    step: int = 1

    def add(self, export: Export) -> None:
        """Count a file, and keep it as a sample if it is its turn; with too many of them every other one goes."""
        if len(self.names) % self.step == 0:
            self.samples.append(export)
        self.names.append(export.name)
        if len(self.samples) > 2 * SAMPLES:
            del self.samples[1::2]
            self.step *= 2


def kinds(exports: Iterable[Export]) -> list[Kind]:
    """The kinds of some exports: those of one form with the same titles, in the order of their first names.

    Lines of JSON need not all have the same keys, so such files are one kind where their names are alike.
    """
    found: dict[tuple[object, ...], _Gathered] = {}
    for export in exports:
        if looks_like_icar(export):
            key: tuple[object, ...] = ("icar",)
            trouble = ""
        else:
            sample = sniff(export)
            trouble = sample.trouble
            stem = re.sub(r"[0-9].*", "", export.name.rpartition("/")[2])
            # Without titles only the name tells kinds apart.
            titles = () if sample.form == "json_lines" else sample.titles
            key = (sample.form, trouble, titles, "" if titles and sample.header_line else stem)
        kind = found.setdefault(key, _Gathered(trouble=trouble, icar=key == ("icar",)))
        kind.add(export)
    return [Kind(tuple(one.names), tuple(one.samples), one.trouble, one.icar) for one in found.values()]


def boxes_seen(all_guesses: Iterable[Guesses], icar: Iterable[Export] = ()) -> list[str]:
    """The boxes that visits and logs name, as one counts them."""
    names: set[str] = set()
    for guesses in all_guesses:
        for table in ("visits", "quarters", "box_log"):
            one = guesses.tables.get(table, {}).get("box")
            if one is not None and not one.asked:
                names |= set(guesses.profiles[one.source.title].filled)
    for export in icar:
        for part in read_icar(export).rows:
            if part.table == "visits" and "box" in part.columns:
                place = part.columns.index("box")
                names |= {str(row[place]) for row in part.values if row[place]}
    return sorted(names, key=lambda name: (len(name), name))


@dataclass(frozen=True, slots=True)
class Upkeep:
    """What the boxes' logs show: the events they have words for, and the local times of day at which people come."""

    events: tuple[str, ...] = ()
    rounds: tuple[str, ...] = ()


def upkeep_seen(all_guesses: Iterable[Guesses]) -> Upkeep:
    """The chores and the rounds that the boxes' logs show.

    A round is a time of day, to the half hour, at which what is done by hand is done again and again: a fifth of it
    at least, within hours of each other.
    """
    events: Counter[str] = Counter()
    clocks: list[float] = []
    for guesses in all_guesses:
        fields = guesses.tables.get("box_log", {})
        if "event" not in fields:
            continue
        profile = guesses.profiles[fields["event"].source.title]
        meant = our_words("event", sorted(set(profile.filled)))
        when = guesses.profiles[fields["at"].source.title] if "at" in fields else None
        for n, text in enumerate(profile.texts):
            event = meant[text][0] if text else ""
            events[event] += 1
            if event in _BY_HAND and when is not None and when.shape == "moment" and not np.isnan(when.values[n]):
                clocks.append(float(when.values[n] % 86400))
    return Upkeep(tuple(event for event in CHORES if events[event]), tuple(_rounds(clocks)))


def _rounds(clocks: Sequence[float]) -> list[str]:
    """The beginnings of the times of day that moments crowd at, `HH:MM`."""
    if len(clocks) < _ENOUGH:
        return []
    crowds: list[list[float]] = []
    for clock in sorted(clocks):
        if crowds and clock - crowds[-1][-1] < _APART_S and clock - crowds[-1][0] < 2 * _APART_S:
            crowds[-1].append(clock)
        else:
            crowds.append([clock])
    often = [crowd for crowd in crowds if len(crowd) >= 0.2 * len(clocks)]
    halves = [int(np.percentile(crowd, 20) // 1800) for crowd in often]
    return [f"{half // 2:02d}:{half % 2 * 30:02d}" for half in halves]
