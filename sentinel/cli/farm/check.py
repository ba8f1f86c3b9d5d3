"""`check`: whether everything in the farm folder is right, each rule's own examples too."""

from __future__ import annotations

import os

import typer

from sentinel.cli.base import HERE, FarmDir, err, now, out, print_problems
from sentinel.edges.notifier import check as check_addresses
from sentinel.edges.settings import SECRETS_NAME, inbox_of
from sentinel.flow.examples import run_examples
from sentinel.flow.measures import measure_named
from sentinel.flow.model import Problem, Source
from sentinel.runtime.farm_folder import load_setup
from sentinel.runtime.web_server import opens_on_phones

LINKS_STAY = (
    "note: links in notices open only on this machine; for phones let the page listen (page: host: 0.0.0.0) "
    "and name the address by which they reach it (page: address: http://192.168.1.20:8710)"
)


def check(folder: FarmDir = HERE) -> None:
    """Check everything in the farm folder, and run every rule's own examples."""
    setup, secrets, problems = load_setup(folder, os.environ)
    problems = [*problems, *(Problem(Source(SECRETS_NAME), complaint) for complaint in check_addresses(secrets.urls))]
    ran = 0
    if setup is not None:
        for rule in setup.rules.values():
            ran += len(rule.examples)
            problems = [*problems, *run_examples(rule, measure_named(rule.measure), now())]
        inbox = inbox_of(folder, setup.farm.inbox)
        if not inbox.is_dir():
            err.print(f"note: {inbox} is not there yet; sentinel waits for it")
        if setup.people and not opens_on_phones(setup.farm):
            err.print(LINKS_STAY)
    if problems or setup is None:
        print_problems(problems)
        raise typer.Exit(1)
    out.print(
        f"All good: {len(setup.feeds)} feed maps, {len(setup.rules)} rules, {ran} examples, "
        f"{len(setup.people)} people.",
    )
