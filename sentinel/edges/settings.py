"""The farm folder on disk: its texts, its secrets, and where things lie in it. Only reads, except `init`'s copy."""

from __future__ import annotations

import os
import re
import secrets
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

from sentinel.errors import FarmFolderError
from sentinel.flow.model import Problem, Source
from sentinel.flow.yaml_text import read_yaml

STORE_NAME = "sentinel.db"
SECRETS_NAME = "secrets.yaml"
KEY_NAME = "page.key"
CHANNEL_PREFIX = "SENTINEL_CHANNEL_"
PING_PREFIX = "SENTINEL_PING_"


@dataclass(frozen=True, slots=True)
class Secrets:
    """The channels' addresses by name, and those that are pinged; shown and logged only as names."""

    urls: Mapping[str, str]
    pings: Mapping[str, str] = field(default_factory=dict)

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

    A secrets.yaml that others on this machine could read is a problem, and is not used.
    """
    urls: dict[str, str] = {}
    pings: dict[str, str] = {}
    problems: list[Problem] = []
    path = folder / SECRETS_NAME
    if path.is_file():
        open_to_others = os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077
        if open_to_others:
            said = f"others on this machine can read it; make it yours alone: chmod 600 {SECRETS_NAME}"
            problems.append(Problem(Source(SECRETS_NAME), said))
        else:
            document, problems = read_yaml(path.read_text(encoding="utf-8-sig"), SECRETS_NAME)
            channels = (document.data or {}).get("channels", {}) if isinstance(document.data, dict | None) else None
            if not isinstance(channels, dict) or not all(isinstance(v, str) for v in channels.values()):
                problems.append(
                    Problem(Source(SECRETS_NAME, 1, 1), 'write it as "channels:" with "name: address" lines')
                )
            else:
                urls |= channels
                pings, found = _pings((document.data or {}).get("pings", {}))
                problems = [*problems, *found]
    for prefix, addresses in ((CHANNEL_PREFIX, urls), (PING_PREFIX, pings)):
        for key, value in environment.items():
            if key.startswith(prefix) and value:
                addresses[re.sub("_+", "-", key.removeprefix(prefix).lower())] = value
    return Secrets(urls, pings), problems


def _pings(given: object) -> tuple[dict[str, str], list[Problem]]:
    """The addresses under `pings:`; what is wrong with them is said without showing them."""
    if not isinstance(given, dict) or not all(isinstance(value, str) for value in given.values()):
        return {}, [Problem(Source(SECRETS_NAME, 1, 1), 'write "pings:" with "name: address" lines')]
    wrong = [name for name, value in given.items() if not re.match("https?://[^/]", value)]
    said = "is not an address to ping; it begins with http:// or https://"
    return dict(given), [Problem(Source(SECRETS_NAME, 1, 1), f"pings: {name} {said}") for name in wrong]


def page_key(folder: Path) -> str:
    """The key that signs the links in notices; made once, readable by its owner alone."""
    path = folder / KEY_NAME
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip()
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(32) + "\n")
    return page_key(folder)


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
