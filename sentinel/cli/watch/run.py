"""`run`: the service, until stopped."""

from __future__ import annotations

import logging
import os
import signal
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmDir, Verbose, err, opened, out, settings_of
from sentinel.cli.watch.alarm import damage_told, forget
from sentinel.cli.watch.backlog import Backlog, plural
from sentinel.edges.clock import Clock
from sentinel.edges.inbox import UnderWay
from sentinel.edges.settings import STORE_NAME, inbox_of
from sentinel.edges.store import Store
from sentinel.edges.terminal import ScreenLog
from sentinel.edges.web import WebServer
from sentinel.runtime.engine import Stepped
from sentinel.runtime.farm_folder import Farmyard, lock
from sentinel.runtime.health.store_opening import open_patiently
from sentinel.runtime.reading.trial import asked_in_passing
from sentinel.runtime.service import Service
from sentinel.runtime.web_server import base_url, link_maker, serve

log = logging.getLogger("sentinel")


def _log_to_terminal() -> None:
    logging.basicConfig(level=logging.INFO, handlers=[ScreenLog(err)])
    logging.getLogger("watchdog").setLevel(logging.WARNING)


def run(
    folder: FarmDir = HERE,
    page: Annotated[bool, typer.Option(help="Serve the page where alerts are answered.")] = True,
    verbose: Verbose = False,
) -> None:
    """Watch the exports, tell people and take their answers, until stopped (Ctrl-C)."""
    _log_to_terminal()
    setup, secrets = settings_of(folder)
    clock = Clock()

    def patiently(path: Path) -> Store:
        return open_patiently(path.parent, setup, secrets, clock, os.environ)

    with damage_told(folder, lambda: (setup, secrets)), opened(folder / STORE_NAME, patiently) as store:
        forget(folder)
        _watch(Farmyard(folder, setup, secrets, store), clock, page, verbose)


def _watch(yard: Farmyard, clock: Clock, page: bool, verbose: bool) -> None:
    """The service and its page, until stopped.

    A store found damaged on the way ends it: nothing that it would decide could be trusted. People are told, and
    `/health` says so while they are; started again, it says at once that the store is damaged.
    """
    taken = lock(yard.folder)
    served: WebServer | None = None
    try:
        # By itself and before all else: a file in which it ends is noted as the one that was being read.
        inbox = inbox_of(yard.folder, yard.setup.farm.inbox)
        for finding in asked_in_passing(yard.setup, inbox, clock.now(), UnderWay(yard.folder)):
            log.warning("%s", finding)
        backlog = Backlog(err, log.info, verbose)
        service = Service(yard, clock, os.environ, heard=backlog.hear)
        if page:
            served = serve(service, clock)
            service.link = link_maker(yard, served.port)
            out.print(f"The page for answers listens on {base_url(yard, served.port)}")
        out.print(f"Watching {service.inbox.folder}. Ctrl-C ends it.")

        def caught_up(stepped: Stepped) -> None:
            backlog.end()
            if backlog.files:
                backlog.show(out, service.yard)
                out.print(f"On the way to people: {plural(len(stepped.notices), 'notice')}.")

        for stop in (signal.SIGINT, signal.SIGTERM):
            signal.signal(stop, lambda *_: service.stop())
        with damage_told(yard.folder, lambda: (service.yard.setup, service.yard.secrets)):
            try:
                service.run(caught_up)
            except Exception as error:
                service.stop()
                yard.store.integrity.raise_if_damaged(error)
                raise
            finally:
                backlog.end()
    finally:
        if served is not None:
            served.stop()
        taken.release()
