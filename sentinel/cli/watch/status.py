"""`status`: whether sentinel itself is at work, in ten lines."""

from __future__ import annotations

import os
from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmDir, err, now, open_store, out, print_json, print_problems
from sentinel.edges import pulse
from sentinel.edges.store.history import settings_used
from sentinel.errors import BusyError, StoreError
from sentinel.flow.setup import read_setup
from sentinel.runtime.farm_folder import load_setup, lock
from sentinel.runtime.health.status import Asked, Line
from sentinel.runtime.health.status import status as status_lines


def status(
    folder: FarmDir = HERE,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object, for programs.")] = False,
) -> None:
    """Whether all is being watched: looks, feeds, rules, channels, disk, memory, clock, backup. Exits 1 if not."""
    setup, secrets, problems = load_setup(folder, os.environ)
    lines: list[Line] = []
    with ExitStack() as opened:
        try:
            store = opened.enter_context(open_store(folder))
        except StoreError as error:  # on a full disk it cannot be opened
            lines, store = [Line("store", False, str(error))], None
        if setup is None and store is not None:  # the service goes by the last good ones
            kept = settings_used(store)
            setup = read_setup(kept[-1][1])[0] if kept else None
        if setup is None:
            print_problems(problems)
            raise typer.Exit(1)
        pings = bool(secrets.pings.get(setup.farm.ping))
        lines += status_lines(Asked(folder, setup, store, pulse.read(folder), _runs(folder), pings, now()))
    ok = all(line.ok for line in lines) and not problems
    if as_json:
        lines_by_topic = {line.about: {"ok": line.ok, "text": line.text} for line in lines}
        print_json([{"ok": ok, "problems": len(problems), **lines_by_topic}])
    else:
        for line in lines:
            out.print(f"{'ok' if line.ok else '!!'}  {line.about:10} {line.text}", markup=False)
        if problems:
            err.print(f"!!  settings   {len(problems)} errors; `sentinel check` names them", markup=False)
    if not ok:
        raise typer.Exit(1)


def _runs(folder: Path) -> bool:
    """Whether a sentinel is at work in the folder: whether its lock is held."""
    try:
        lock(folder).release()
    except BusyError:
        return True
    return False
