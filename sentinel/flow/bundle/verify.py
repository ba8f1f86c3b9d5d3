"""Whether a bundle is as it was made: every edit, removal and reordering is found, and said where it is."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sentinel.flow.alerts.chain import Logged, Replaced, content, first_break
from sentinel.flow.bundle.form import LINES, LOG, MANIFEST, OWN, REPLACED, SHORT, line_digests, sha256
from sentinel.flow.model import Entry, Problem, Source

CHANGED = "was changed after the bundle was made"


@dataclass(frozen=True, slots=True)
class BundleLog:
    """The log of a bundle: the number of its last entry, 0 if it has none, and the hash of each by its number."""

    last: int
    hashes: Mapping[int, str]


def broken_bundle(files: Mapping[str, bytes]) -> list[Problem]:
    """Everything that does not fit in a bundle's files, each with the file and, where it has lines, the line."""
    if MANIFEST not in files:
        return [Problem(Source(MANIFEST), "is missing; is this a bundle?")]
    listed, problems = _manifest(files[MANIFEST])
    short = _line_digests(files, listed)
    for name, digest in sorted(listed.items()):
        if name not in files:
            problems.append(Problem(Source(name), "is missing"))
        elif sha256(files[name]) != digest:
            problems += _changed(name, files[name], short.get(name))
    for name in sorted(files.keys() - listed.keys() - {MANIFEST}):
        problems.append(Problem(Source(name), "is not in the manifest: it was put in later"))
    problems += _log_problems(files)
    return sorted(dict.fromkeys(problems))


def log_of(files: Mapping[str, bytes]) -> BundleLog:
    """The log of a bundle that is whole."""
    log, _, _ = _read_log(files.get(LOG, b""))
    return BundleLog(max((one.seq for one in log), default=0), {one.seq: one.hash for one in log})


def _manifest(data: bytes) -> tuple[dict[str, str], list[Problem]]:
    """The files that the manifest names with their digests, and what is wrong with it."""
    lines = data.splitlines(keepends=True)
    listed: dict[str, str] = {}
    for line in lines[:-1]:
        digest, _, name = line.decode("utf-8", "replace").rstrip("\n").partition("  ")
        listed[name] = digest
    whole = bool(lines) and lines[-1] == f"{sha256(b''.join(lines[:-1]))}  {OWN}\n".encode()
    return listed, [] if whole else [Problem(Source(MANIFEST), CHANGED)]


def _line_digests(files: Mapping[str, bytes], listed: Mapping[str, str]) -> dict[str, list[str]]:
    """The digests of the lines of each file, if the file that has them is as it was."""
    data = files.get(LINES, b"")
    if sha256(data) != listed.get(LINES):
        return {}
    found = {}
    for line in data.decode("utf-8", "replace").splitlines():
        name, _, digests = line.partition(" ")
        found[name] = [digests[place : place + SHORT] for place in range(0, len(digests), SHORT)]
    return found


def _changed(name: str, data: bytes, short: list[str] | None) -> list[Problem]:
    """The first line of a file that is not as it was; the file alone if that cannot be told."""
    if short is None:
        return [Problem(Source(name), CHANGED)]
    now = line_digests(data)
    for number, (was, digest) in enumerate(zip(short, now, strict=False), 1):
        if was != digest:
            return [Problem(Source(name, number), CHANGED)]
    if len(now) < len(short):
        return [Problem(Source(name, len(now) + 1), "is missing, with all that follows")]
    return [Problem(Source(name, len(short) + 1), "was put in after the bundle was made")]


def _log_problems(files: Mapping[str, bytes]) -> Iterator[Problem]:
    """Where the log's chain does not fit."""
    if LOG not in files:
        yield Problem(Source(LOG), "is missing")
        return
    log, begins, problems = _read_log(files[LOG])
    yield from problems
    if problems:
        return
    if log and log[0].previous != begins:
        yield Problem(Source(LOG, 1), "the log does not begin with the hash before its first entry")
        return
    broken = first_break(log, list(_replaced(files.get(REPLACED, b""))), begins_later=True)
    if broken:
        number = next((int(word) for word in broken.split() if word.isdigit()), 0)
        line = next((n for n, one in enumerate(log, 2) if one.seq >= number), 0)
        yield Problem(Source(LOG, line), broken)


def _read_log(data: bytes) -> tuple[list[Logged], str, list[Problem]]:
    """The log's entries, the hash before the first, and the lines that are none."""
    log: list[Logged] = []
    problems = []
    first, *lines = data.decode("utf-8", "replace").split("\n")
    previous = first
    for number, line in enumerate(lines[:-1], 2):
        own, _, text = line.partition(" ")
        try:
            seq, at, kind, alert, rule, subject, person, body = json.loads(text)
            entry = Entry(int(at), kind, alert, rule, subject, person, dict(body))
            if content(int(seq), entry) != text:
                raise ValueError("written otherwise than it was")
            log.append(Logged(int(seq), entry, previous, own))
        except (ValueError, TypeError, RecursionError):
            problems.append(Problem(Source(LOG, number), "is no entry of a log: it was changed"))
        previous = own
    return log, first, problems


def _replaced(data: bytes) -> Iterator[Replaced]:
    """Where names were replaced."""
    for line in data.decode("utf-8", "replace").splitlines():
        by, _, rest = line.partition(" ")
        seq, _, digest = rest.partition(" ")
        if by.isdigit() and seq.isdigit():
            yield int(by), int(seq), digest
