"""A farm folder opened for work: its settings and secrets, read together, its store, and its lock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from filelock import FileLock, Timeout

from sentinel.edges.settings import Secrets, read_secrets, read_settings
from sentinel.edges.store import Store
from sentinel.errors import BusyError
from sentinel.flow.model import Problem
from sentinel.flow.settings.farm import check_ping
from sentinel.flow.settings.people import check_channels
from sentinel.flow.setup import Setup, read_setup


@dataclass(frozen=True, slots=True)
class Farmyard:
    """A farm folder opened for work: its settings, its secrets and its store."""

    folder: Path
    setup: Setup
    secrets: Secrets
    store: Store


def load_setup(folder: Path, environment: Mapping[str, str]) -> tuple[Setup | None, Secrets, list[Problem]]:
    """A farm folder's settings and secrets, and everything that is wrong with them.

    Raises FarmFolderError if there is no such folder.
    """
    texts, unread = read_settings(folder)
    # What rests on a file that cannot be read would only be told as wrong too.
    setup, problems = (None, unread) if unread else read_setup(texts)
    secrets, secret_problems = read_secrets(folder, environment)
    problems = [*problems, *secret_problems]
    if setup is not None:
        problems += check_channels(setup.people, secrets.urls)
        problems += check_ping(setup.farm, secrets.pings)
    return setup, secrets, problems


def lock(folder: Path) -> FileLock:
    """The farm folder's lock, taken; raises BusyError if another sentinel holds it."""
    taken = FileLock(folder / "sentinel.lock")
    try:
        taken.acquire(timeout=0)
    except Timeout as error:
        raise BusyError(
            f"another sentinel is working in {folder}; it will pick up what you said at its next look"
        ) from error
    return taken
