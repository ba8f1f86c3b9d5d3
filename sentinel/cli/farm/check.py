"""`check`: whether everything in the farm folder is right, each rule's own examples and the newest exports too."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, AsJson, FarmDir, err, now, out, print_json, print_problems
from sentinel.cli.farm.trial import as_records, problem_records, say, show, tried_in
from sentinel.edges.notifier import check as check_addresses
from sentinel.edges.settings import SECRETS_NAME, inbox_of, read_settings
from sentinel.flow.examples import run_examples
from sentinel.flow.feeds import load_feed_map
from sentinel.flow.feeds.trial.questions import open_questions
from sentinel.flow.measures import measure_named
from sentinel.flow.model import Problem, Source
from sentinel.flow.setup import Setup, read_setup
from sentinel.runtime.farm_folder import load_setup
from sentinel.runtime.reading.trial import Trial
from sentinel.runtime.web_server import opens_on_phones

LINKS_STAY = (
    "note: links in notices open only on this machine; for phones let the page listen (page: host: 0.0.0.0) "
    "and name the address by which they reach it (page: address: http://192.168.1.20:8710)"
)


def check(
    folder: FarmDir = HERE,
    strict: Annotated[bool, typer.Option("--strict", help="Fail on findings about the feed maps too.")] = False,
    as_json: AsJson = False,
) -> None:
    """Check everything in the farm folder, run every rule's own examples, and try the maps on the newest exports."""
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
    trial, zone = _tried(folder, setup)
    if not as_json:
        show(trial, zone)
    if as_json:
        print_json([*problem_records("problem", problems), *as_records(trial)])
    else:
        say(trial.findings)
    if problems or setup is None:
        if not as_json:
            print_problems(problems)
        raise typer.Exit(1)
    untried = not trial.files
    if not as_json:
        _sum_up(setup, ran, trial)
    if strict and (trial.findings or untried):
        raise typer.Exit(1)


def _tried(folder: Path, setup: Setup | None) -> tuple[Trial, str]:
    """The newest exports tried by the maps, and the farm's zone; where a map cannot be read yet, by the others."""
    if setup is not None:
        return tried_in(folder, setup), setup.farm.zone
    texts, _ = read_settings(folder)
    maps = {name: text for name, text in texts.items() if name.startswith("feeds/")}
    unread = {name: text for name, text in maps.items() if load_feed_map(text, name)[0] is None}
    others, _ = read_setup({name: text for name, text in texts.items() if name not in unread})
    if others is None:
        return Trial(findings=[*open_questions(maps)]), "UTC"
    trial = tried_in(folder, others, strangers=False)  # which files are those of the unread maps is not known
    return replace(trial, findings=sorted([*trial.findings, *open_questions(unread)])), others.farm.zone


def _sum_up(setup: Setup, ran: int, trial: Trial) -> None:
    """The last line: what was found right, and what was not or could not be tried."""
    right = f"{len(setup.feeds)} feed maps, {len(setup.rules)} rules, {ran} examples, {len(setup.people)} people"
    if trial.findings:
        n = len(trial.findings)
        ask = f"{n} finding{'s' * (n > 1)} above about how exports are read"
        out.print(f"The settings can be used ({right}), but see the {ask}.")
    elif not trial.files:
        out.print(f"All good: {right}. There is no export in the inbox yet, so no map was tried.")
    else:
        files = sum(len(of.files) for of in trial.feeds)
        out.print(f"All good: {right}; {files} of {trial.files} files tried.")
