"""What all commands share: the app, the farm folder, and how results and problems are shown."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from sentinel import __version__
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.damage import refuse_what_is_gone
from sentinel.edges.terminal import Screen
from sentinel.errors import FarmFolderError, SentinelError
from sentinel.flow.model import Problem
from sentinel.flow.setup import Setup
from sentinel.runtime.farm_folder import Farmyard, load_setup

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
    help="Watches the exports of a farm's milking boxes and tells the operator's phone what needs them now, and why.",
)
out = Screen()
err = Screen(stderr=True)

FarmDir = Annotated[Path, typer.Argument(envvar="SENTINEL_FARM", help="The farm folder.", show_default="here")]
FarmOption = Annotated[Path, typer.Option("--farm", envvar="SENTINEL_FARM", help="The farm folder.")]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON object a line, for programs.")]
Verbose = Annotated[
    bool, typer.Option("--verbose", "-v", help="A line for each export and alert, not only the totals.")
]
HERE = Path(".")

PATIENCE_S = 10.0
"""How long a single look waits for a file that somebody has just put there."""


def _version(wanted: bool) -> None:
    if wanted:
        out.print(__version__)
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show it and exit.")
    ] = False,
) -> None:
    """Options before the command."""


def now() -> int:
    """The moment at which a command was given."""
    return Clock().now()


def complain(text: str) -> None:
    """Say what is wrong, to people."""
    err.print(text, style="bold red")


def print_problems(problems: Iterable[Problem]) -> None:
    """All problems, each with its place, in order of place."""
    for problem in sorted(problems):
        err.print(str(problem))


def print_json(records: Iterable[Any]) -> None:
    """One JSON object a line."""
    out.records(records)


@contextmanager
def open_farm(folder: Path) -> Iterator[Farmyard]:
    """Open a farm folder for work; its problems are shown and end the command.

    Raises FarmFolderError if it is no farm folder, DamagedError if its store turns out to be damaged.
    """
    setup, secrets = settings_of(folder)
    with opened(folder / STORE_NAME) as store:
        yield Farmyard(folder, setup, secrets, store)


def settings_of(folder: Path) -> tuple[Setup, Secrets]:
    """A farm folder's settings and secrets; what is wrong with them is shown and ends the command."""
    setup, secrets, problems = load_setup(folder, os.environ)
    if setup is None or problems:
        print_problems(problems)
        raise typer.Exit(1)
    return setup, secrets


@contextmanager
def open_store(folder: Path) -> Iterator[Store]:
    """Open only the store of a farm folder, whatever its settings look like.

    Raises FarmFolderError if there is none yet, DamagedError if it is damaged, or gone where there was one.
    """
    path = folder / STORE_NAME
    refuse_what_is_gone(path)
    if not path.is_file():
        raise FarmFolderError(f"there is no {STORE_NAME} in {folder} yet; `sentinel once {folder}` makes it")
    with opened(path) as store:
        yield store


@contextmanager
def opened(path: Path, store_of: Callable[[Path], Store] = Store) -> Iterator[Store]:
    """A store opened for one command; where the command fails on damage, that is what is said."""
    store = store_of(path)
    try:
        yield store
    except (SentinelError, typer.Exit, typer.Abort, BrokenPipeError):
        raise
    except Exception as error:
        store.integrity.raise_if_damaged(error)
        raise
    finally:
        store.close()
