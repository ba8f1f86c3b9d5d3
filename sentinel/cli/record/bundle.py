"""`bundle`: a span of the record as files and a report, for an inspection or the vet."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm, out
from sentinel.cli.record.history import end_of, moment_of, until_now
from sentinel.edges.bundle_files import parquet, write_bundle
from sentinel.edges.locales import words_of
from sentinel.edges.store.log import append_entries, last_entry
from sentinel.errors import UsageError
from sentinel.flow.alerts.chain import START
from sentinel.flow.bundle.form import LOG, MANIFEST, REPLACED, log_text, replaced_text, sha256, whole
from sentinel.flow.bundle.report import report
from sentinel.flow.bundle.report_html import report_html
from sentinel.flow.bundle.tables import KINDS, USUAL, Sheet, Span, csv_cells, sheets
from sentinel.flow.model import Entry
from sentinel.flow.views.for_programs.csv_text import csv_text
from sentinel.runtime.record.span import proven_log, record_of

FORMS = ("csv", "json", "parquet")

REPORT = "report.html"


def bundle(
    target: Annotated[Path, typer.Argument(help="The folder to make, or a file that ends in .zip.")],
    farm: FarmOption = HERE,
    since: Annotated[str, typer.Option(help='From this time: "2026-05-01", or "90 d" ago.')] = "90 d",
    until: Annotated[str, typer.Option(help="Up to this time (a day means its end); without it: now.")] = "",
    kinds: Annotated[str, typer.Option(help=f"Which, of {', '.join(KINDS)}; or all.")] = ",".join(USUAL),
    forms: Annotated[str, typer.Option("--as", help="As which files: csv, json, parquet.")] = "csv,json",
) -> None:
    """Files for an inspection or the vet: a span of the record, a report to print, and the proof of it."""
    wanted = list(KINDS) if kinds == "all" else _chosen(kinds, KINDS, "kind")
    written_as = _chosen(forms, FORMS, "form")
    with open_farm(farm) as yard:
        store, zone, at = yard.store, yard.setup.farm.zone, now()
        span = Span(moment_of(since, at, zone), end_of(until, at, zone) if until else until_now(store, at))
        if span.begin >= span.end:
            raise UsageError("--since must come before --until")
        record = record_of(store, yard.setup, span, {*wanted, "filters"})
        files: dict[str, bytes] = {}
        for sheet in sheets(record, wanted):
            files |= _files(sheet, written_as)
        log, replaced = proven_log(store, span)
        files |= {LOG: log_text(log).encode(), REPLACED: replaced_text(replaced).encode()}
        last = last_entry(store)
        number, head = (last.seq, last.hash) if last else (0, START)
        words, setup = words_of(yard.setup.farm), yard.setup.farm
        files[REPORT] = report_html(report(record, setup.name, at, number, head, words, setup.language)).encode()
        made = whole(files)
        write_bundle(target, made)
        digest = sha256(made[MANIFEST])
        body = {"since": span.begin, "until": span.end - 1, "kinds": wanted, "as": written_as, "manifest": digest}
        append_entries(store, [Entry(at, "bundle", body=body)])
    size = sum(map(len, made.values())) / 1e6
    begin, end = (
        datetime.fromtimestamp(m, ZoneInfo(zone)).isoformat(" ", "minutes") for m in (span.begin, span.end - 1)
    )
    out.print(f"Made {target}: {len(made)} files, {size:.1f} MB, from {begin} to {end}.")
    out.print(f"Print {REPORT} from a browser (A4). `sentinel verify {target}` checks all of it.")
    out.print(f"The manifest's digest is {digest}; the farm's log has it, too.")


def _chosen(given: str, known: Mapping[str, object] | tuple[str, ...], what: str) -> list[str]:
    """The chosen words of a list; raises UsageError for one that is not known."""
    chosen = [one.strip() for one in given.split(",") if one.strip()]
    unknown = [one for one in chosen if one not in known]
    if unknown or not chosen:
        raise UsageError(f"{', '.join(unknown) or 'nothing'} is no {what}; choose of {', '.join(known)}")
    return list(dict.fromkeys(chosen))


def _files(sheet: Sheet, forms: list[str]) -> dict[str, bytes]:
    """A sheet as files."""
    made = {}
    if "csv" in forms:
        made[f"{sheet.name}.csv"] = csv_text(sheet.columns, csv_cells(sheet)).encode()
    if "json" in forms:
        rows = (dict(zip(sheet.columns, row, strict=True)) for row in sheet.rows)
        made[f"{sheet.name}.jsonl"] = "".join(f"{json.dumps(row, ensure_ascii=False)}\n" for row in rows).encode()
    if "parquet" in forms:
        made[f"{sheet.name}.parquet"] = parquet(sheet.columns, sheet.rows)
    return made
