"""What a folder of exports shows: a drafted map for every kind of file, and the farm's boxes, chores and rounds."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path

from sentinel.cli.base import now
from sentinel.errors import UsageError
from sentinel.flow.bounds import USUAL
from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.kinds import Kind, boxes_seen, kinds, upkeep_seen
from sentinel.flow.feeds.drafting.questions import Drafted
from sentinel.flow.feeds.drafting.sample.names import named
from sentinel.flow.model import Export

MOST_FILES = 3000
"""So many files are looked at, the newest names first where there are more."""

TEXT_BYTES = 500_000
"""So much is read of delimited text."""


@dataclass(slots=True)
class Seen:
    """What exports show: drafts by the map's name, boxes, box log events, rounds, and notes for a person."""

    maps: dict[str, Drafted] = field(default_factory=dict)
    boxes: list[str] = field(default_factory=list)
    events: tuple[str, ...] = ()
    rounds: tuple[str, ...] = ()
    notes: list[str] = field(default_factory=list)


def look_at(exports: Path, zone: str) -> Seen:
    """Draft a map for every kind of file in a folder; raises UsageError if it is no folder."""
    if not exports.is_dir():
        raise UsageError(f"{exports} is not a folder of exports")
    seen = Seen()
    found = kinds(_read(exports, seen.notes))
    if not found:
        seen.notes.append(f"In {exports} there is no file yet from which a map could be drafted.")
    for kind in found:
        _look_at_kind(kind, zone, seen, found)
    all_guesses = [draft.guesses for draft in seen.maps.values() if draft.guesses is not None]
    seen.boxes = boxes_seen(all_guesses, [one for kind in found if kind.icar for one in kind.samples])
    upkeep = upkeep_seen(all_guesses)
    seen.events, seen.rounds = upkeep.events, upkeep.rounds
    return seen


def inbox_for(folder: Path, exports: Path | None) -> str:
    """What farm.yaml says of where exports are: the folder that was looked at, or a room of the farm's own."""
    if exports is None:
        return "exports"
    inside = exports.resolve()
    home = folder.resolve()
    return json.dumps(str(inside.relative_to(home) if inside.is_relative_to(home) else inside), ensure_ascii=False)


def _read(exports: Path, notes: list[str]) -> Iterator[Export]:
    """The files, oldest name first; what cannot be a sample is noted."""
    plain = (path for path in exports.rglob("*") if path.is_file() and not path.is_symlink())
    paths = sorted(path for path in plain if not path.name.startswith("."))
    if len(paths) > MOST_FILES:
        notes.append(f"{len(paths):,} files are more than are looked at: the last {MOST_FILES:,} by name were.")
        paths = paths[-MOST_FILES:]
    for path in paths:
        try:
            content = _beginning(path)
        except OSError as error:
            notes.append(f"{path.name} cannot be read ({error.strerror}) and was left out.")
            continue
        if len(content) > USUAL.size:
            notes.append(f"{path.name} is too large for a sample and was left out.")
            continue
        yield Export(path.relative_to(exports).as_posix(), content, now())


def _beginning(path: Path) -> bytes:
    """As much of a file as a draft looks at: of delimited text the beginning, else one byte past the bound."""
    with path.open("rb") as file:
        content = file.read(TEXT_BYTES)
        if len(content) < TEXT_BYTES or content[:1] not in (b"P", b"{", b"["):
            return content
        return content + file.read(USUAL.size + 1 - TEXT_BYTES)


def _look_at_kind(kind: Kind, zone: str, seen: Seen, all_kinds: list[Kind]) -> None:
    count = f"{len(kind.names)} {'file' if len(kind.names) == 1 else 'files'} like {kind.names[0]}"
    if kind.icar:
        seen.notes.append(f"{count}: the open ICAR ADE standard, read without a map.")
        return
    draft = drafted(kind.samples, zone, names=kind.names)
    if draft.trouble:
        seen.notes.append(f"{count}: {draft.trouble}")
        return
    for rows in draft.rows[1:]:  # a map for each kind of rows: they share the files
        other = drafted(kind.samples, zone, {"rows": rows}, kind.names)
        feed = re.search(r"(?m)^feed: (.+)$", other.text)
        if feed is not None and feed[1] not in seen.maps:
            seen.maps[feed[1]] = other
            seen.notes.append(f"{count}: feeds/{feed[1]}.yaml (its rows {rows}).")
    of_name = named(kind.names[0].rpartition("/")[2], kind.names)
    name, n = of_name.feed, 2
    while name in seen.maps:
        name, n = f"{of_name.feed}_{n}", n + 1
    if name != of_name.feed:
        draft = Drafted(draft.text.replace(f"\nfeed: {of_name.feed}\n", f"\nfeed: {name}\n", 1), draft.questions,
                        "", draft.guesses)  # fmt: skip
    seen.maps[name] = draft
    tables = ", ".join(draft.guesses.tables) if draft.guesses and draft.guesses.tables else "nothing that could be told"
    seen.notes.append(f"{count}: feeds/{name}.yaml ({tables}).")
    others = [
        other.names[0]
        for other in all_kinds
        if other is not kind
        and not other.trouble
        and any(fnmatchcase(one.rpartition("/")[2], of_name.files) for one in other.names)
    ]
    missed = [one for one in kind.names if not fnmatchcase(one.rpartition("/")[2], of_name.files)]
    if others:
        seen.notes.append(
            f"  {of_name.files} is the name of {others[0]} too, which has other titles: part them by name."
        )
    if missed:
        seen.notes.append(f"  {missed[0]} has the same titles and another name: add it to files: in that map.")
