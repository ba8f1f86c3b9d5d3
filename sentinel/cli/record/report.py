"""`report`: the report card of the rules, month by month, and which of them to look at."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import typer

from sentinel.cli.base import HERE, AsJson, FarmDir, now, open_farm, out, print_json
from sentinel.cli.record.history import end_of, moment_of, until_now
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.log import log_entries
from sentinel.flow.rules import format_quantity
from sentinel.flow.tuning.report import Month
from sentinel.flow.views.report import GOES_BACK_S, PointedAt, report_page
from sentinel.runtime.record.tuning import Trials

HEADINGS = (
    *("rule", "month", "raised", "rang", "answered", "time to answer", "90 % within"),
    *("something found", "nothing found", "only seen", "unanswered"),
)


def report(
    folder: FarmDir = HERE,
    since: Annotated[str, typer.Option(help='From this time: "2026-05-13", or "90 d" ago. Left out: a year ago.')] = "",
    until: Annotated[str, typer.Option(help="Up to this time (a day means its end).")] = "",
    as_json: AsJson = False,
) -> None:
    """What came of each rule in each month, which cry wolf or never speak, and what another bound would have done."""
    with open_farm(folder) as yard:
        zone, at, setup = yard.setup.farm.zone, now(), yard.setup
        begin = moment_of(since, at, zone) if since else at - GOES_BACK_S
        end = end_of(until, at, zone) if until else until_now(yard.store, at)
        trials = Trials(yard.store)
        page = report_page(
            setup.rules,
            all_alerts(yard.store),
            log_entries(yard.store, kind="notice", since=begin),
            log_entries(yard.store, kind="answer", since=begin),
            lambda name: trials.of(setup, name, at),
            zone,
            begin,
            end,
            most_tried=len(setup.rules),
        )
    if as_json:
        print_json(asdict(one) for _, months in reversed(page.months) for one in months)
        print_json(asdict(one) for one in page.whole)
        print_json(asdict(one) for one in page.pointed)
        return
    rows = [_row(one) for _, months in reversed(page.months) for one in months]
    out.table(HEADINGS, [*rows, *(_row(one) for one in page.whole)], right=HEADINGS[2:])
    out.print()
    out.lines(*(_said(one) for one in page.pointed))


def _row(one: Month) -> tuple[str, ...]:
    """One rule in one month, or in all."""
    took = ("" if seconds is None else format_quantity(seconds, "s") for seconds in (one.answer_s, one.answer_90_s))
    counts = (one.raised, one.rung, one.answered), (one.real, one.nothing_found, one.seen, one.unanswered)
    return (one.rule, one.month or "in all", *map(str, counts[0]), *took, *map(str, counts[1]))


def _said(one: PointedAt) -> str:
    """Why a rule is pointed at, and what might be tried."""
    if one.why == "cries-wolf":
        why = f"{one.rule} cries wolf: {one.nothing_found} of {one.looked_into} answers found nothing."
    else:
        why = f"{one.rule} has raised nothing in all this time."
    if one.change is None:
        return f"{why} No bound between half and twice its own would change that sensibly." if one.tried else why
    change = one.change
    weekly = f"{change.alerts_a_week:.1f} alerts a week instead of {change.now_a_week:.1f}"
    return f"{why} With {change.settings}: {weekly}, on the last two months."
