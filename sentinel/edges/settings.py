"""The farm folder on disk: its texts, its secrets, and where things lie in it. Only reads, except `init`'s copy.

Somebody edits these files while they are read: whatever stands in their place is told and never waited for.
"""

from __future__ import annotations

import errno
import logging
import os
import re
import secrets
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

from sentinel.edges.private import open_to_others, write_whole
from sentinel.errors import ChangedMeanwhile, FarmFolderError
from sentinel.flow.model import Problem, Source
from sentinel.flow.yaml.text import read_yaml

STORE_NAME = "sentinel.db"
SECRETS_NAME = "secrets.yaml"
KEY_NAME = "page.key"
REFUSED_KEY_NAME = "page.key.refused"
KEY_FILE_LENGTH = 4096
KEY_VARIETY = 8
"""A key has at least so many different characters: 32 of random hexadecimal digits have 14 or so."""
CHANNEL_PREFIX = "SENTINEL_CHANNEL_"
PING_PREFIX = "SENTINEL_PING_"

_KEY = re.compile(r"[!-~]{32,}")
"""What can sign: 128 bits at least, even if every character is a hexadecimal digit."""

log = logging.getLogger("sentinel")

LONGEST_BYTES = 4_000_000
"""No settings file is longer; of one that is, no more is read than shows it."""

MOST_FILES = 500
"""So many files may `feeds` and `rules` hold each."""

ROOMS = ("feeds", "rules")

_CANNOT: Mapping[int, str] = {
    errno.ENOENT: "leads to nothing, as a link to a file that is gone does; put the file there, or take it away",
    errno.ELOOP: "is a link that leads to itself; put the file there, or take it away",
    errno.EACCES: "may not be read by the user that runs sentinel; give it the right to",
    errno.EPERM: "may not be read by the user that runs sentinel; give it the right to",
}


@dataclass(frozen=True, slots=True)
class Secrets:
    """The channels' addresses by name, and those that are pinged; shown and logged only as names."""

    urls: Mapping[str, str]
    pings: Mapping[str, str] = field(default_factory=dict)

    def __repr__(self) -> str:
        """Names only."""
        return f"Secrets({', '.join(sorted(self.urls))})"


class _NoText(Exception):
    """Why a settings file cannot be read, and at which line and column."""

    def __init__(self, sentence: str, line: int = 0, column: int = 0) -> None:
        super().__init__(sentence)
        self.line, self.column = line, column


def read_settings(folder: Path) -> tuple[dict[str, str], list[Problem]]:
    """The settings' texts by name in the farm folder, and what is there and cannot be read.

    Raises FarmFolderError if there is no such folder.
    """
    try:
        there = stat.S_ISDIR(folder.stat().st_mode)
    except (OSError, ValueError):
        there = False
    if not there:
        raise FarmFolderError(f"{folder} is not a folder; `sentinel init {folder}` makes a farm folder")
    names, problems = _names(folder)
    texts: dict[str, str] = {}
    for name in names:
        try:
            texts[name] = _text_of(folder / name)
        except _NoText as error:
            problems.append(Problem(Source(name, error.line, error.column), str(error)))
    return texts, problems


def read_texts(folder: Path) -> dict[str, str]:
    """The settings' texts by name in the farm folder.

    Raises FarmFolderError if there is no such folder or a file in it cannot be read.
    """
    texts, problems = read_settings(folder)
    if problems:
        raise FarmFolderError("; ".join(str(problem) for problem in problems))
    return texts


def raw_text(folder: Path, name: str) -> str:
    """A settings file as it is on disk, with its line ends and a mark at its beginning.

    Raises FarmFolderError if it cannot be read.
    """
    try:
        return (folder / name).read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise FarmFolderError(f"{name} cannot be read: {error}") from error


def write_over(folder: Path, name: str, before: str, after: str) -> None:
    """Put a text in the place of a settings file's, if that still is what it was; its rights stay.

    A link is followed within the farm folder only: what lies elsewhere may be another farm's, or many. Raises
    ChangedMeanwhile if it was changed meanwhile; FarmFolderError if it lies elsewhere, or cannot be written.
    """
    if raw_text(folder, name) != before:
        raise ChangedMeanwhile(name)
    try:
        path = (folder / name).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise FarmFolderError(f"{name} leads out of the farm folder, to {path}; change it there by hand")
        mode = stat.S_IMODE(path.stat().st_mode)
        write_whole(path, after.encode("utf-8"))
        path.chmod(mode)
    except OSError as error:
        raise FarmFolderError(f"{name} cannot be written: {error.strerror or error}") from error


def read_rules(folder: Path) -> dict[str, str]:
    """The texts of the rules in a folder that is no farm's, or in a farm folder's `rules`, by their file's name.

    Raises FarmFolderError if there are none, or one cannot be read.
    """
    room = folder / "rules" if (folder / "rules").is_dir() else folder
    files = sorted(path for path in room.glob("*.yaml") if not path.name.startswith("."))[:MOST_FILES]
    if not files:
        raise FarmFolderError(f"there is no rule in {folder}: a folder of .yaml files is wanted here")
    try:
        return {path.name: _text_of(path) for path in files}
    except _NoText as error:
        raise FarmFolderError(f"{room}: {error}") from error


def _names(folder: Path) -> tuple[list[str], list[Problem]]:
    """The settings files that are there by name in the farm folder, and the rooms that cannot be looked into.

    A name that begins with a dot is an editor's or a file system's own (`.#boxes.yaml`, `._boxes.yaml`).
    """
    names = [name for name in ("farm.yaml", "people.yaml") if os.path.lexists(folder / name)]
    problems = []
    for room in ROOMS:
        try:
            files = sorted(n for n in os.listdir(folder / room) if n.endswith(".yaml") and not n.startswith("."))
        except FileNotFoundError:
            continue
        except OSError as error:
            problems.append(Problem(Source(room), f"this folder {_cannot(error)}"))
            continue
        if len(files) > MOST_FILES:
            sentence = (
                f"this folder holds {len(files):,} files; at most {MOST_FILES} are allowed; remove what is not used"
            )
            problems.append(Problem(Source(room), sentence))
        names += [f"{room}/{name}" for name in files[:MOST_FILES]]
    return names, problems


def _cannot(error: OSError) -> str:
    return _CANNOT.get(error.errno or 0, f"cannot be read ({error.strerror or error}); put it right or take it away")


def _text_of(path: Path) -> str:
    """A settings file's text; raises _NoText. Only a plain file is opened: a pipe would be waited for, for ever."""
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise _NoText("this is a folder; a settings file is wanted here; move the folder elsewhere")
        if not stat.S_ISREG(mode):
            raise _NoText("this is a device or a pipe; a settings file is wanted here; take it away")
        with path.open("rb") as file:
            content = file.read(LONGEST_BYTES + 1)
    except OSError as error:
        raise _NoText(f"this file {_cannot(error)}") from None
    if len(content) > LONGEST_BYTES:
        raise _NoText(f"this file is longer than {LONGEST_BYTES // 1_000_000} MB; is it a settings file? Take it away")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        # utf-8-sig counts from behind its mark, so the place is found by what could be read
        before = error.object[: error.start].decode("utf-8", "replace")
        line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
        raise _NoText("this is not UTF-8 text; save it again as UTF-8", line, column) from None


def read_secrets(folder: Path, environment: Mapping[str, str]) -> tuple[Secrets, list[Problem]]:
    """The channels' addresses from secrets.yaml and the environment (`SENTINEL_CHANNEL_MARIT_PHONE`).

    A secrets.yaml that others on this machine could read is a problem, and is not used; so is such a page.key.
    """
    urls, pings, problems = _written_secrets(folder / SECRETS_NAME)
    for prefix, addresses in ((CHANNEL_PREFIX, urls), (PING_PREFIX, pings)):
        for key, value in environment.items():
            if key.startswith(prefix) and value:
                addresses[re.sub("_+", "-", key.removeprefix(prefix).lower())] = value
    if problem := _open_to_others(folder / KEY_NAME):
        problems = [*problems, problem]
    return Secrets(urls, pings), problems


def _pings(given: object) -> tuple[dict[str, str], list[Problem]]:
    """The addresses under `pings:`; what is wrong with them is said without showing them."""
    if not isinstance(given, dict) or not all(isinstance(value, str) for value in given.values()):
        return {}, [Problem(Source(SECRETS_NAME, 1, 1), 'write "pings:" with "name: address" lines')]
    wrong = [name for name, value in given.items() if not re.match("https?://[^/]", value)]
    complaint = "is not an address to ping; it must begin with http:// or https://"
    problems = [Problem(Source(SECRETS_NAME, 1, 1), f"pings: {name} {complaint}") for name in wrong]
    return {str(name): address for name, address in given.items()}, problems


def _written_secrets(path: Path) -> tuple[dict[str, str], dict[str, str], list[Problem]]:
    """The channels of secrets.yaml and what it names to be pinged; none if there is no such file."""
    if not os.path.lexists(path):
        return {}, {}, []
    try:
        text = _text_of(path)
    except _NoText as error:
        return {}, {}, [Problem(Source(SECRETS_NAME, error.line, error.column), str(error))]
    except OSError as error:
        return {}, {}, [Problem(Source(SECRETS_NAME), f"this file {_cannot(error)}")]
    if problem := _open_to_others(path):
        return {}, {}, [problem]
    document, problems = read_yaml(text, SECRETS_NAME)
    if problems:
        return {}, {}, problems
    data = document.data or {}
    channels = data.get("channels", {}) if isinstance(data, dict) else None
    if not isinstance(channels, dict) or not all(isinstance(v, str) for v in channels.values()):
        return {}, {}, [Problem(Source(SECRETS_NAME, 1, 1), 'write it as "channels:" with "name: address" lines')]
    pings, wrong = _pings(data.get("pings", {}))
    return {str(name): address for name, address in channels.items()}, pings, wrong


def page_key(folder: Path) -> str:
    """The key that signs the links in notices; made once, readable by its owner alone.

    What cannot be a key (a full disk leaves an empty file, a power cut one of zeros) signs nothing: it is put aside,
    and a new key is made and reported. Raises FarmFolderError for a key that others could read.
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
    sentence = f"others on this machine can read it; make it yours alone: chmod 600 {path.name}"
    return Problem(Source(path.name), sentence)


def inbox_of(folder: Path, inbox: str) -> Path:
    """The exports' folder; a relative one is inside the farm folder.

    Where a link of it leads to itself, or may not be followed, it is taken as written; looking into it tells that.
    """
    try:
        return (folder / inbox).resolve()
    except (OSError, RuntimeError):  # RuntimeError: a link that leads to itself, up to Python 3.12
        return (folder / inbox).absolute()


def shipped(room: str) -> Path:
    """Where the `rules` or `demo_feeds` that came with sentinel lie: beside the package in a checkout, else in it."""
    checkout = Path(__file__).resolve().parents[2] / room
    if (checkout.parent / "pyproject.toml").is_file():
        return checkout
    return Path(str(files("sentinel") / "shipped" / room))


def settings_stamp(folder: Path) -> tuple[tuple[object, ...], ...]:
    """Which settings files there are, when they were changed, how long they are, and who may read them.

    What cannot be asked about is part of it too, so that it is seen when that is put right.
    """
    names = ["farm.yaml", "people.yaml", SECRETS_NAME]
    stamps: list[tuple[object, ...]] = []
    for room in ROOMS:
        try:
            files = sorted(os.listdir(folder / room))
            names += [f"{room}/{n}" for n in files if n.endswith(".yaml") and not n.startswith(".")]
        except OSError as error:
            stamps.append((room, error.errno))
    for name in names[: 2 * MOST_FILES]:
        try:
            found_here = (folder / name).stat()
        except OSError as error:
            stamps.append((name, error.errno))
            continue
        kept = ("st_mtime_ns", "st_size", "st_ino", "st_mode", "st_uid", "st_gid")
        stamps.append((name, *(getattr(found_here, one) for one in kept)))
    return tuple(stamps)
