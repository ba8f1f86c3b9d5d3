"""`once`: one single look."""

from __future__ import annotations

import os
from typing import Annotated

import typer

from sentinel.cli.base import HERE, PATIENCE_S, FarmDir, Verbose, err, now, open_farm, out
from sentinel.cli.watch.backlog import Backlog, show_sent
from sentinel.edges.clock import Clock
from sentinel.edges.inbox import UnderWay
from sentinel.edges.settings import inbox_of
from sentinel.edges.store.exports.feeds import forget_set_aside
from sentinel.runtime.farm_folder import Farmyard, lock
from sentinel.runtime.reading.trial import asked_in_passing
from sentinel.runtime.service import Service
from sentinel.runtime.web_server import link_maker


def once(
    folder: FarmDir = HERE,
    again: Annotated[bool, typer.Option("--again", help="Read files again of which rows were set aside.")] = False,
    verbose: Verbose = False,
) -> None:
    """Read what is there, decide, send, and end."""
    with open_farm(folder) as yard:
        taken = lock(folder)
        try:
            if again:
                names = forget_set_aside(yard.store)
                out.print(f"Reading again: {', '.join(names) or 'nothing was set aside'}.")
            look_once(yard, verbose)
        finally:
            taken.release()


def look_once(yard: Farmyard, verbose: bool) -> None:
    """One look at a farm whose lock is held: read, decide, show what came of it, and send what is due."""
    backlog = Backlog(out, lambda event: out.print(str(event)), verbose)
    service = Service(yard, Clock(), os.environ, link_maker(yard), backlog.hear)
    try:
        service.catch_up(patience_s=PATIENCE_S)
        service.monitor.looked(service.engine.tables)
    finally:
        service.monitor.end()
        backlog.end()
    backlog.show(out, yard)
    show_sent(out, yard, *service.drain(30.0))
    if backlog.files:  # what reads nothing has nothing new to ask
        inbox = inbox_of(yard.folder, yard.setup.farm.inbox)
        err.lines(*(str(one) for one in asked_in_passing(yard.setup, inbox, now(), UnderWay(yard.folder))))
