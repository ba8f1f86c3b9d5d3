"""The form of a bundle: the log with its chain, a manifest of every file, and what tells which line was changed.

`deploy/bundle.md` describes it for people who check it without sentinel. A file's name is one word; texts are UTF-8 and
every line ends in a line feed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence

from sentinel.flow.alerts.chain import START, Logged, Replaced, content

MANIFEST, LOG, LINES, REPLACED = "manifest.txt", "log.txt", "lines.txt", "replaced.txt"

OWN = "manifest"
"""What the manifest's last line is called, which holds the digest of the lines before it."""

SHORT = 8
"""So many characters of a line's digest are kept: enough to tell which line was changed, no more."""

BINARY = (".parquet", ".jpg")
"""Files without lines."""


def sha256(data: bytes) -> str:
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def log_text(log: Sequence[Logged]) -> str:
    """A stretch of the log: the hash before it, then an entry a line, its hash and what that covers as JSON."""
    lines = [log[0].previous if log else START]
    lines += [f"{one.hash} {content(one.seq, one.entry)}" for one in log]
    return "".join(f"{line}\n" for line in lines)


def replaced_text(replaced: Iterable[Replaced]) -> str:
    """Where names were replaced: by which entry, in which, and the digest of what that one says since."""
    return "".join(f"{by} {seq} {digest}\n" for by, seq, digest in sorted(replaced))


def lines_text(files: Mapping[str, bytes]) -> str:
    """For each file of lines its name and, without a gap between them, the beginning of each line's digest."""
    named = sorted(name for name in files if not name.endswith(BINARY))
    return "".join(f"{name} {''.join(line_digests(files[name]))}\n" for name in named)


def line_digests(data: bytes) -> list[str]:
    """The beginning of the digest of each line, its line feed included."""
    return [sha256(line)[:SHORT] for line in data.splitlines(keepends=True)] if data else []


def manifest_text(files: Mapping[str, bytes]) -> str:
    """Each file with its digest, as `sha256sum` writes it, and last the digest of these lines."""
    lines = "".join(f"{sha256(files[name])}  {name}\n" for name in sorted(files))
    return f"{lines}{sha256(lines.encode())}  {OWN}\n"


def whole(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of a bundle with those that prove them."""
    with_lines = {**files, LINES: lines_text(files).encode()}
    return {**with_lines, MANIFEST: manifest_text(with_lines).encode()}
