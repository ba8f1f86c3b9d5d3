"""Every command, in the order in which `sentinel --help` lists them; each is a module that is named as it is typed."""

from __future__ import annotations

from collections.abc import Callable

import typer

from sentinel.cli.base import app
from sentinel.cli.copies.backup import backup
from sentinel.cli.copies.backup_daily import backup_daily
from sentinel.cli.copies.let_go import let_go
from sentinel.cli.copies.restore import restore
from sentinel.cli.demo import demo
from sentinel.cli.docs import docs
from sentinel.cli.farm.check import check
from sentinel.cli.farm.init import init
from sentinel.cli.farm.map import map_
from sentinel.cli.people.forget import forget
from sentinel.cli.people.link import link
from sentinel.cli.people.links import links
from sentinel.cli.people.withdraw import withdraw
from sentinel.cli.record.alerts import alerts
from sentinel.cli.record.answer import answer
from sentinel.cli.record.bundle import bundle
from sentinel.cli.record.done import done
from sentinel.cli.record.herd import herd
from sentinel.cli.record.history import history
from sentinel.cli.record.replay import replay
from sentinel.cli.record.report import report
from sentinel.cli.record.seal import seal
from sentinel.cli.record.tune import tune
from sentinel.cli.record.verify import verify
from sentinel.cli.record.why import why
from sentinel.cli.simulate import simulate_
from sentinel.cli.watch.once import once
from sentinel.cli.watch.reread import reread
from sentinel.cli.watch.run import run
from sentinel.cli.watch.status import status
from sentinel.cli.watch.tell import tell

COMMANDS: dict[str, Callable[..., None]] = {
    "init": init,
    "check": check,
    "map": map_,
    "backup": backup,
    "restore": restore,
    "backup-daily": backup_daily,
    "let-go": let_go,
    "demo": demo,
    "docs": docs,
    "run": run,
    "once": once,
    "reread": reread,
    "replay": replay,
    "tune": tune,
    "report": report,
    "answer": answer,
    "done": done,
    "alerts": alerts,
    "herd": herd,
    "history": history,
    "why": why,
    "seal": seal,
    "verify": verify,
    "bundle": bundle,
    "simulate": simulate_,
    "status": status,
    "tell": tell,
}
"""By what is typed."""

PEOPLE: dict[str, Callable[..., None]] = {"link": link, "links": links, "withdraw": withdraw, "forget": forget}
"""Those of `sentinel people`, which help lists last."""

HIDDEN = {"docs"}
"""For contributors: help does not list it."""


def register() -> typer.Typer:
    """The app with every command added to it; once a process."""
    for name, command in COMMANDS.items():
        app.command(name, hidden=name in HIDDEN)(command)
    people = typer.Typer(
        no_args_is_help=True, help="Who may open the page, by each person's own link; and whose name goes."
    )
    for name, command in PEOPLE.items():
        people.command(name)(command)
    app.add_typer(people, name="people")
    return app
