"""`replay`: what the rules would have raised, tick by tick as it arrived, or as if every export had been on time."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, cast, get_args

import typer

from sentinel.cli.base import HERE, PATIENCE_S, AsJson, FarmDir, now, opened, out, print_json, print_problems
from sentinel.cli.record.history import end_of, moment_of
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, read_rules
from sentinel.edges.store import Store
from sentinel.edges.store.damage import refuse_what_is_gone
from sentinel.errors import FarmFolderError, UsageError
from sentinel.flow.language import shown_time
from sentinel.flow.model import Problem
from sentinel.flow.replay import Raised
from sentinel.flow.rules import format_quantity
from sentinel.flow.setup import Setup, changed_settings, with_rules
from sentinel.flow.subjects import subject_words
from sentinel.flow.tuning.compare import By, Change, Counted, changes, counted, within
from sentinel.flow.views.charts.strip import standalone, strip
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.record.replay import as_arrived, changed_lines, lines, past_of
from sentinel.runtime.service import Service


def replay(
    folder: FarmDir = HERE,
    arrived: Annotated[
        bool, typer.Option("--as-arrived", help="Tick by tick, from what was known at the time.")
    ] = False,
    rules: Annotated[
        Path | None, typer.Option("--rules", help="By the rules of this folder, beside the farm's own.")
    ] = None,
    settings: Annotated[
        list[str] | None, typer.Option("--set", help="Try RULE.FIELD=VALUE, e.g. late-cow.raise_over='12 h'.")
    ] = None,
    against: Annotated[
        Path | None, typer.Option("--against", help="Beside the rules of this folder, not the farm's own.")
    ] = None,
    since: Annotated[str, typer.Option(help='Only what is raised from here: "2026-05-13", or "60 d" ago.')] = "",
    until: Annotated[str, typer.Option(help="Only what is raised before (a day means its end).")] = "",
    by: Annotated[str, typer.Option(help="Count by rule, week or subject, and list no alert.")] = "",
    differences: Annotated[bool, typer.Option("--changes", help="List only what differs, and how.")] = False,
    drawing: Annotated[Path | None, typer.Option("--picture", help="Draw both into this SVG file.")] = None,
    as_json: AsJson = False,
) -> None:
    """What the rules would have raised on everything ever read; also beside other rules, or a changed threshold."""
    setup = _usable(*load_setup(folder, os.environ)[::2])
    if by and by not in get_args(By):
        raise UsageError(f"--by is {', '.join(get_args(By))}; not {by!r}")
    other = _usable(*with_rules(setup, read_rules(against))) if against else setup
    tried = _usable(*with_rules(setup, read_rules(rules))) if rules else setup
    tried = _usable(*changed_settings(tried, settings or ()))
    compares = bool(rules or settings or against)
    if differences and not compares:
        raise UsageError("--changes needs something to compare with: --set, --rules or --against")
    zone, at = setup.farm.zone, now()
    begin = moment_of(since, at, zone) if since else None
    end = end_of(until, at, zone) if until else None
    with _store_of(folder, setup) as store:
        if arrived:
            raised = as_arrived(store, tried if compares else None)  # beside another reading both by one set of rules
            before = as_arrived(store, other) if compares else None
        else:
            raised, before = past_of(store, setup).tried(tried.rules, other.rules)
    after = within(raised, begin, end)
    was = within(before, begin, end) if compares and before is not None else None
    changed = changes(was if was is not None else after, after)
    names = list(dict.fromkeys((*tried.rules, *(other.rules if compares else ()))))
    if drawing is not None:
        drawing.write_text(standalone(strip(changed, names, zone)), encoding="utf-8")
    if differences:
        changed = [change for change in changed if change.how != "same"]
        print_json(changed_lines(changed)) if as_json else _print_changes(changed, zone)
    elif by or not as_json:
        counts = counted(after, was, cast(By, by or "rule"), zone, names if by in ("", "rule") else ())
        if as_json:
            print_json(_line(one, was is not None) for one in counts)
            return
        if not by:
            _print(after, zone)
        _print_counts(counts, by or "rule", was is not None)
    else:
        print_json(lines(after))


def _usable(setup: Setup | None, problems: Sequence[Problem]) -> Setup:
    """The settings; what is wrong with them is shown and ends the command."""
    if setup is None:
        print_problems(problems)
        raise typer.Exit(1)
    return setup


@contextmanager
def _store_of(folder: Path, setup: Setup) -> Iterator[Store]:
    """The farm's store; of a folder that was never run one in memory with everything its inbox holds."""
    refuse_what_is_gone(folder / STORE_NAME)
    there = (folder / STORE_NAME).is_file()
    with opened(folder / STORE_NAME) if there else closing(_read_now(folder, setup)) as store:
        yield store


def _read_now(folder: Path, setup: Setup) -> Store:
    """Of a folder that was never run, a store in memory with everything its inbox holds."""
    store = Store(None)
    yard = Farmyard(folder, setup, load_setup(folder, os.environ)[1], store)
    service = Service(yard, Clock(), {}, heard=lambda text: None)
    if not service.inbox.folder.is_dir():
        raise FarmFolderError(f"there is no {STORE_NAME} and no inbox in {folder}")
    service.catch_up(patience_s=PATIENCE_S)
    return store


def _print(raised: Sequence[Raised], zone: str) -> None:
    """The alerts as a table."""
    last = max((one.raised_at for one in raised), default=0)
    rows = []
    for one in raised:
        over = "" if one.over_at is None else shown_time(one.over_at, last, zone)
        rows.append((shown_time(one.raised_at, last, zone), over, one.urgency, one.rule, subject_words(one.subject)))
    out.table(("raised", "over", "", "rule", "what"), rows)
    out.print()


def _print_changes(changed: Sequence[Change], zone: str) -> None:
    """What differs, a line each."""
    last = max((change.one.raised_at for change in changed), default=0)
    rows = []
    for change in changed:
        moments = [
            "" if one is None else shown_time(one.raised_at, last, zone) for one in (change.before, change.after)
        ]
        moved = format_quantity(abs(change.later_s), "s") if change.later_s else ""
        rows.append((change.how, moved, *moments, change.one.rule, subject_words(change.one.subject)))
    out.table(("", "by", "before", "now", "rule", "what"), rows, right=("by",))


COUNTS = ("alerts", "incidents", "rings")


def _print_counts(counts: Sequence[Counted], by: str, compared: bool) -> None:
    """How many there are of each; of two readings with how many there were before, and what differs."""
    headings = [by]
    for name in COUNTS:
        headings += [name, "before"] if compared else [name]
    headings += ["new", "missed", "earlier", "by", "later", "by"] if compared else []
    rows = []
    for one in counts:
        row = [subject_words(one.name) if by == "subject" else one.name]
        for name in COUNTS:
            row.append(str(getattr(one, name)))
            row += [str(getattr(one, f"{name}_before"))] if compared else []
        if compared:
            row += [str(one.new), str(one.missed)]
            for number, middle_s in ((one.earlier, one.earlier_s), (one.later, one.later_s)):
                row += [str(number), format_quantity(middle_s, "s") if number else ""]
        rows.append(row)
    out.table(headings, rows, right=headings[1:])


def _line(one: Counted, compared: bool) -> dict[str, object]:
    """The counts of one rule, week or subject, for programs."""
    record = asdict(one)
    return record if compared else {name: record[name] for name in ("name", *COUNTS)}
