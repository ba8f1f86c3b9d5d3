"""Everything to ask of the feed maps once they were tried, each with its place and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from sentinel.flow.bounds import cut
from sentinel.flow.feeds.trial.farm_boxes import boxes_not_named
from sentinel.flow.feeds.trial.figures import odd_figures
from sentinel.flow.feeds.trial.one_box import unlike_at_one_box
from sentinel.flow.feeds.trial.overlaps import overlaps
from sentinel.flow.feeds.trial.paces import paces
from sentinel.flow.feeds.trial.patterns import Matched, read_twice, strangers, unmatched
from sentinel.flow.feeds.trial.questions import open_questions
from sentinel.flow.feeds.trial.rear_quarters import rear_quarters
from sentinel.flow.feeds.trial.rows import later_than_their_file, unreadable, without_their_hour
from sentinel.flow.feeds.trial.tried import MapFile, Tried
from sentinel.flow.model import Problem
from sentinel.flow.yaml.text import read_yaml

FARM = "farm.yaml"
"""Its boxes and rounds may be those seen in exports, with a question."""

LONGEST = 700
"""So many characters of a finding are told."""

MOST = 100
"""So many findings are told."""


def findings(
    texts: Mapping[str, str],
    maps: Sequence[MapFile],
    found: Matched,
    known: Mapping[str, bool],
    feeds: Sequence[Tried],
    *,
    boxes: bool = True,
) -> list[Problem]:
    """What is to be asked of the maps and of the files, in order of place.

    `texts` are the farm's settings by name, `found` the inbox's files by what reads them, `known` the kinds of file
    names that need no map, `feeds` what the newest files of each gave. `boxes`: whether those that the farm does not
    name are asked about.
    """
    drafts = {name: text for name, text in texts.items() if name.startswith("feeds/") or name == FARM}
    told = [
        *open_questions(drafts),
        *unmatched(maps, found),
        *read_twice(maps, found),
        *paces(maps, found),
        *strangers(found, known),
    ]
    if FARM in texts and boxes:
        told += boxes_not_named(read_yaml(texts[FARM], FARM)[0], maps, feeds)
    return _in_order([*told, *_of_feeds(feeds)])


def map_findings(text: str, name: str, feeds: Sequence[Tried]) -> list[Problem]:
    """The same of one map by itself, whose text stands in the file `name`."""
    return _in_order([*open_questions({name: text}), *_of_feeds(feeds)])


def _of_feeds(feeds: Sequence[Tried]) -> Iterator[Problem]:
    at_one_box = unlike_at_one_box(feeds)
    for problems in at_one_box.values():
        yield from problems
    for of in feeds:
        yield from (*unreadable(of), *odd_figures(of, at_one_box), *later_than_their_file(of), *without_their_hour(of))
        yield from rear_quarters(of)
    yield from overlaps(feeds)


def _in_order(told: Iterable[Problem]) -> list[Problem]:
    lines = {Problem(one.source, cut(" ".join(one.message.split()), LONGEST)) for one in told}
    return sorted(lines)[:MOST]
