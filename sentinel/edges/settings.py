"""The farm folder on disk: its texts, its secrets, and where things lie in it. Only reads, except `init`'s copy."""

from __future__ import annotations

import logging
import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from sentinel.edges.private import open_to_others, write_whole
from sentinel.errors import FarmFolderError
from sentinel.flow.model import Problem, Source
from sentinel.flow.yaml_text import read_yaml

STORE_NAME = "sentinel.db"
SECRETS_NAME = "secrets.yaml"
KEY_NAME = "page.key"
REFUSED_KEY_NAME = "page.key.refused"
KEY_FILE_LENGTH = 4096
KEY_VARIETY = 8
"""A key has at least so many different characters: 32 of random hexadecimal digits have 14 or so."""

CHANNEL_PREFIX = "SENTINEL_CHANNEL_"

_KEY = re.compile(r"[!-~]{32,}")
"""What can sign: 128 bits at least, even if every character is a hexadecimal digit."""

log = logging.getLogger("sentinel")


@dataclass(frozen=True, slots=True)
class Secrets:
    """The channels' addresses by name; shown and logged only as names."""

    urls: Mapping[str, str]

    def __repr__(self) -> str:
        """Names only."""
        return f"Secrets({', '.join(sorted(self.urls))})"


def read_texts(folder: Path) -> dict[str, str]:
    """The settings' texts by name in the farm folder.

    Raises FarmFolderError if there is no such folder or a file in it is not UTF-8 text.
    """
    if not folder.is_dir():
        raise FarmFolderError(f"{folder} is not a folder; `sentinel init {folder}` makes a farm folder")
    names = [n for n in ("farm.yaml", "people.yaml") if (folder / n).is_file()]
    names += [f"{room}/{p.name}" for room in ("feeds", "rules") for p in sorted((folder / room).glob("*.yaml"))]
    texts = {}
    for name in names:
        try:
            texts[name] = (folder / name).read_text(encoding="utf-8-sig")
        except UnicodeDecodeError as error:
            raise FarmFolderError(f"{folder / name} is not UTF-8 text; save it again as UTF-8") from error
    return texts


def read_secrets(folder: Path, environment: Mapping[str, str]) -> tuple[Secrets, list[Problem]]:
    """The channels' addresses from secrets.yaml and the environment (`SENTINEL_CHANNEL_MARIT_PHONE`).

    A secrets.yaml that others on this machine could read is a problem, and is not used; so is such a page.key.
    """
    urls: dict[str, str] = {}
    problems: list[Problem] = []
    path = folder / SECRETS_NAME
    if path.is_file():
        if found := _open_to_others(path):
            problems.append(found)
        else:
            document, problems = read_yaml(path.read_text(encoding="utf-8-sig"), SECRETS_NAME)
            channels = (document.data or {}).get("channels", {}) if isinstance(document.data, dict | None) else None
            if not isinstance(channels, dict) or not all(isinstance(v, str) for v in channels.values()):
                problems.append(
                    Problem(Source(SECRETS_NAME, 1, 1), 'write it as "channels:" with "name: address" lines')
                )
            else:
                urls |= channels
    for key, value in environment.items():
        if key.startswith(CHANNEL_PREFIX) and value:
            urls[re.sub("_+", "-", key.removeprefix(CHANNEL_PREFIX).lower())] = value
    if found := _open_to_others(folder / KEY_NAME):
        problems = [*problems, found]
    return Secrets(urls), problems


def page_key(folder: Path) -> str:
    """The key that signs the links in notices; made once, readable by its owner alone.

    What cannot be a key (a full disk leaves an empty file, a power cut one of zeros) signs nothing: it is put aside,
    and a new key is made and told of. Raises FarmFolderError for a key that others could read.
    """
    path = folder / KEY_NAME
    key = _read_key(path)
    if key is None:
        write_whole(path, f"{secrets.token_urlsafe(32)}\n".encode("ascii"), over=False)
        key = _read_key(path)
    if not key:
        os.replace(path, path.with_name(REFUSED_KEY_NAME))
        log.warning(
            "%s held no key that can sign and was put aside as %s. A new one was made: links given out before open "
            "nothing any more, so give out new ones (sentinel people link NAME)",
            KEY_NAME,
            REFUSED_KEY_NAME,
        )
        return page_key(folder)
    return key


def _read_key(path: Path) -> str | None:
    """The key in a file; empty if what is in it cannot be one, None if there is no file. FarmFolderError if open."""
    if open_problem := _open_to_others(path):
        raise FarmFolderError(f"{path.parent / open_problem.source.name}: {open_problem.message}")
    try:
        given = path.read_bytes()[:KEY_FILE_LENGTH].decode("ascii", "replace").strip()
    except FileNotFoundError:
        return None
    return given if _KEY.fullmatch(given) and len(set(given)) >= KEY_VARIETY else ""


def _open_to_others(path: Path) -> Problem | None:
    """What is wrong with a secret file that others on this machine could read; None if it is its owner's alone."""
    if not path.is_file() or not open_to_others(path):
        return None
    said = f"others on this machine can read it; make it yours alone: chmod 600 {path.name}"
    return Problem(Source(path.name), said)


def inbox_of(folder: Path, inbox: str) -> Path:
    """The exports' folder; a relative one is inside the farm folder."""
    return (folder / inbox).resolve()


def shipped(room: str) -> Path:
    """Where the `rules` or `demo_feeds` that came with sentinel lie: beside the package in a checkout, else in it."""
    checkout = Path(__file__).resolve().parents[2] / room
    if (checkout.parent / "pyproject.toml").is_file():
        return checkout
    return Path(str(files("sentinel") / "shipped" / room))


def settings_stamp(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Which settings files there are, when they were changed and how long they are."""
    paths = [folder / n for n in ("farm.yaml", "people.yaml", SECRETS_NAME)]
    paths += [p for room in ("feeds", "rules") for p in sorted((folder / room).glob("*.yaml"))]
    stamps = []
    for path in paths:
        try:
            found = path.stat()
        except OSError:
            continue
        stamps.append((str(path), found.st_mtime_ns, found.st_size))
    return tuple(stamps)
