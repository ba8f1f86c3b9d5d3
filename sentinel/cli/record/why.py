"""`why`: why the phone rang, or did not."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, AsJson, FarmOption, now, open_farm, out, print_json
from sentinel.cli.record.history import moment_of
from sentinel.edges.locales import words_of
from sentinel.errors import UsageError
from sentinel.flow.views.for_programs.why_record import why_record
from sentinel.flow.views.why import why_page
from sentinel.runtime.record.past import why_alert, why_not


def why(
    what: Annotated[list[str] | None, typer.Argument(metavar="ALERT", help="The alert's number.")] = None,
    of_silence: Annotated[
        bool, typer.Option("--not", help="Of a silence: RULE SUBJECT instead of a number, and --at.")
    ] = False,
    at: Annotated[str, typer.Option("--at", help='The moment, with --not: "2026-05-13 14:00", or "6 h" ago.')] = "",
    farm: FarmOption = HERE,
    as_json: AsJson = False,
) -> None:
    """Why an alert came, and who was told; with --not RULE SUBJECT --at TIME, why none did."""
    given = what or []
    with open_farm(farm) as yard:
        zone = yard.setup.farm.zone
        if of_silence:
            if len(given) != 2 or not at:
                raise UsageError('write it as `sentinel why --not late-cow cow:217 --at "2026-05-13 14:00"`')
            found = why_not(yard.store, given[0], given[1], moment_of(at, now(), zone))
        else:
            if len(given) != 1 or not re.fullmatch(r"\d+", given[0]) or at:
                raise UsageError("name one alert by its number; of a silence: --not RULE SUBJECT --at TIME")
            found = why_alert(yard.store, int(given[0]))
        if as_json:
            print_json([why_record(found)])
            return
        then = datetime.fromtimestamp(found.at, ZoneInfo(zone)).isoformat(" ", "seconds")
        out.print(f"{found.rule}, {found.subject}, at {then}", style="bold")
        for heading, lines in why_page(found, words_of(yard.setup.farm)):
            out.print()
            out.print(heading, style="bold")
            for line in lines:
                out.print(f"  {line}", markup=False)
