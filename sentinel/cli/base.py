"""What all commands share: the app, the farm folder, and how results and problems are shown."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console

from sentinel import __version__
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, Secrets
from sentinel.edges.store import Store
from sentinel.errors import FarmFolderError
from sentinel.flow.model import Problem
from sentinel.flow.setup import Setup
from sentinel.service import Farmyard, load_setup

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
    help="Watches the exports of a farm's milking boxes and tells the operator's phone what needs them now, and why.",
)
PIPED_WIDTH = None if sys.stdout.isatty() else 1000
"""Into a pipe or a file a table's row stays one line, whatever its length, so that it can be searched by line."""

out = Console(highlight=False, soft_wrap=True, width=PIPED_WIDTH)
err = Console(stderr=True, highlight=False, soft_wrap=True)

FarmDir = Annotated[Path, typer.Argument(envvar="SENTINEL_FARM", help="The farm folder.", show_default="here")]
FarmOption = Annotated[Path, typer.Option("--farm", envvar="SENTINEL_FARM", help="The farm folder.")]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON object a line, for programs.")]
HERE = Path(".")


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
    err.print(text, style="bold red", markup=False)


def print_problems(problems: Iterable[Problem]) -> None:
    """All problems, each with its place, in order of place."""
    for problem in sorted(problems):
        err.print(str(problem), markup=False)


def print_json(records: Iterable[Any]) -> None:
    """One JSON object a line."""
    for record in records:
        typer.echo(json.dumps(record, ensure_ascii=False))


@contextmanager
def open_farm(folder: Path, store_of: Callable[[Setup, Secrets], Store] | None = None) -> Iterator[Farmyard]:
    """Open a farm folder for work; its problems are shown and end the command. `store_of` opens its store.

    Raises FarmFolderError if it is no farm folder.
    """
    setup, secrets, problems = load_setup(folder, os.environ)
    if setup is None or problems:
        print_problems(problems)
        raise typer.Exit(1)
    store = Store(folder / STORE_NAME) if store_of is None else store_of(setup, secrets)
    try:
        yield Farmyard(folder, setup, secrets, store)
    finally:
        store.close()


@contextmanager
def open_store(folder: Path) -> Iterator[Store]:
    """Open only the store of a farm folder, whatever its settings look like.

    Raises FarmFolderError if there is none yet.
    """
    path = folder / STORE_NAME
    if not path.is_file():
        raise FarmFolderError(f"there is no {STORE_NAME} in {folder} yet; `sentinel once {folder}` makes it")
    store = Store(path)
    try:
        yield store
    finally:
        store.close()
