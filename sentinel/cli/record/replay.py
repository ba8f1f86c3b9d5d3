"""`replay`: what the rules would have raised, tick by tick as it arrived, or as if every export had been on time."""

from __future__ import annotations

import os
from contextlib import closing
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, PATIENCE_S, AsJson, FarmDir, opened, out, print_json, print_problems
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.damage import refuse_what_is_gone
from sentinel.errors import FarmFolderError
from sentinel.flow.language import shown_time
from sentinel.flow.replay import Raised
from sentinel.flow.setup import Setup, changed_setting
from sentinel.flow.subjects import subject_words
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.replay import as_arrived, lines, past_of
from sentinel.runtime.service import Service


def replay(
    folder: FarmDir = HERE,
    arrived: Annotated[
        bool, typer.Option("--as-arrived", help="Tick by tick, from what was known at the time.")
    ] = False,
    settings: Annotated[
        list[str] | None, typer.Option("--set", help="Try RULE.FIELD=VALUE, e.g. late-cow.raise_over='12 h'.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """What the rules would have raised on everything ever read; with --set, with a changed threshold."""
    setup, _, problems = load_setup(folder, os.environ)
    if setup is None:
        print_problems(problems)
        raise typer.Exit(1)
    changed = setup
    for setting in settings or ():
        tried, problems = changed_setting(changed, setting)
        if tried is None:
            print_problems(problems)
            raise typer.Exit(1)
        changed = tried
    refuse_what_is_gone(folder / STORE_NAME)
    there = (folder / STORE_NAME).is_file()
    with opened(folder / STORE_NAME) if there else closing(_read_now(folder, setup)) as store:
        if arrived:
            raised = as_arrived(store, changed if settings else None)
            before = as_arrived(store) if settings else None
        else:
            raised, before = past_of(store, setup).tried(changed.rules, setup.rules)
            before = before if settings else None
    if as_json:
        print_json(lines(raised))
        return
    _print(raised, before, changed)


def _read_now(folder: Path, setup: Setup) -> Store:
    """Of a folder that was never run, a store in memory with everything its inbox holds."""
    store = Store(None)
    yard = Farmyard(folder, setup, load_setup(folder, os.environ)[1], store)
    service = Service(yard, Clock(), {}, heard=lambda text: None)
    if not service.inbox.folder.is_dir():
        raise FarmFolderError(f"there is no {STORE_NAME} and no inbox in {folder}")
    service.catch_up(patience_s=PATIENCE_S)
    return store


def _print(raised: list[Raised], before: list[Raised] | None, setup: Setup) -> None:
    """The alerts as a table, and how many of each rule; with a change tried, beside how many there were."""
    zone = setup.farm.zone
    last = max((one.raised_at for one in raised), default=0)
    rows = []
    for one in raised:
        over = "" if one.over_at is None else shown_time(one.over_at, last, zone)
        rows.append((shown_time(one.raised_at, last, zone), over, one.urgency, one.rule, subject_words(one.subject)))
    out.table(("raised", "over", "", "rule", "what"), rows)
    counts = []
    for name in setup.rules:
        row = [name, str(sum(one.rule == name for one in raised))]
        if before is not None:
            row.append(str(sum(one.rule == name for one in before)))
        counts.append(row)
    out.print()
    out.table(("rule", "alerts", *(("before",) if before is not None else ())), counts)
