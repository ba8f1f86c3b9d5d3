"""`tune`: a range of a rule's bounds on the farm's own history, and what people said of what was raised."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

from sentinel.cli.base import HERE, AsJson, FarmDir, err, now, open_farm, out, print_json
from sentinel.cli.record.history import moment_of
from sentinel.errors import UsageError
from sentinel.flow.language import shown_time
from sentinel.flow.measures import measure_named
from sentinel.flow.rules import Rule, Setting, format_quantity
from sentinel.flow.setup import Setup
from sentinel.flow.subjects import subject_words
from sentinel.flow.tuning.advice import advice, missed
from sentinel.flow.tuning.sweep import History, Tried, swept, tried
from sentinel.flow.tuning.values import USUAL_VALUES, around, combined, in_range
from sentinel.flow.views.charts.curve import curve
from sentinel.flow.views.charts.strip import standalone
from sentinel.flow.views.parts.records import rfc3339
from sentinel.flow.yaml.text import did_you_mean
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.inputs import person_named
from sentinel.runtime.record.tuning import history
from sentinel.runtime.rule_edits import prepared, undoing, write

MOST_KEYS = 2
"""So many keys are tried at once."""

MOST_MISSED = 5
"""So many missed episodes are named in the table; `--json` names all."""


def tune(
    rule: Annotated[str, typer.Argument(help="The rule, for example late-cow.")],
    folder: FarmDir = HERE,
    ranges: Annotated[
        list[str] | None,
        typer.Option(
            "--range", help="What to try: raise_over='10 h..18 h'. Twice for two keys. Left out: around its own bound."
        ),
    ] = None,
    values: Annotated[int, typer.Option(min=2, max=200, help="So many values of each key.")] = USUAL_VALUES,
    since: Annotated[str, typer.Option(help='On what was raised from here on: "2026-05-13", or "60 d" ago.')] = "",
    drawing: Annotated[Path | None, typer.Option("--picture", help="Draw it into this SVG file.")] = None,
    new: Annotated[
        list[str] | None,
        typer.Option("--write", help="Write KEY=VALUE into the rule's file, as often as you like: all at once."),
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Put back what was last written.")] = False,
    by: Annotated[str, typer.Option(help="Who writes: a person in people.yaml with `tunes: yes`.")] = "",
    why: Annotated[str, typer.Option(help="Why, for the log.")] = "",
    anyway: Annotated[bool, typer.Option(help="Write it although an example of the rule no longer comes out.")] = False,
    as_json: AsJson = False,
) -> None:
    """Try a range of a rule's bound on your own history: how often it tells, what people found, what it misses."""
    with open_farm(folder) as yard:
        setup = yard.setup
        of = _rule(setup, rule)
        if new or undo:
            _write(yard, of, new or (), by, why, anyway)
            return
        settings = _settings(of, ranges or (), values)
        begin = moment_of(since, now(), setup.farm.zone) if since else None
        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
        with Progress(*columns, console=err, transient=True, disable=not err.is_terminal) as progress:
            task = progress.add_task("reading", total=len(settings) + 1)
            place = history(yard.store, setup, of, begin)
            progress.update(task, description="trying", advance=1)
            as_it_is = tried(place, of)
            found, unfit = swept(place, settings, lambda: progress.update(task, advance=1))
    if drawing is not None:
        drawing.write_text(standalone(curve(of, found, as_it_is, place.weeks)), encoding="utf-8")
    better = advice(as_it_is, found)
    if as_json:
        print_json(_record(place, as_it_is, one, one is better.better) for one in (as_it_is, *found))
        return
    _print(place, as_it_is, found, setup.farm.zone)
    for some, unfit_as in unfit:
        out.print(f"not tried: {', '.join(f'{key} {value}' for key, value in some)}: {unfit_as}")
    if of.classes:
        out.print("Classes of the rule with bounds of their own keep them.")
    out.print()
    out.print(better.sentence)


def _write(yard: Farmyard, rule: Rule, new: Sequence[str], by: str, why: str, anyway: bool) -> None:
    """Write values, or put the last ones back; what changes is shown, and the examples that no longer come out."""
    at = now()
    what = prepared(yard, rule, [_setting(one) for one in new], at) if new else undoing(yard, rule, at)
    out.lines(*what.edit.diff)
    for failing in what.failing:
        out.print(f"no longer comes out: {failing}")
    write(yard, rule, what, person_named(yard, by), why, at, anyway)
    changes = ", ".join(f"{one.key} {one.before} → {one.after}" for one in what.edit.changes)
    back = "" if what.undoes else f" `sentinel tune {rule.name} --undo` puts it back."
    out.print(f"Written: {changes}.{back}")


def _setting(text: str) -> Setting:
    """`KEY=VALUE`."""
    key, _, value = text.partition("=")
    if not value.strip():
        raise UsageError(f"{text}: write it as KEY=VALUE, for example raise_over=15 h")
    return key.strip(), value.strip()


def _rule(setup: Setup, name: str) -> Rule:
    """The rule of this name, if its bounds can be tried."""
    if name not in setup.rules:
        raise UsageError(
            f"{name!r} is no rule here{did_you_mean(name, setup.rules)}; the rules: {', '.join(setup.rules)}"
        )
    if measure_named(setup.rules[name].measure).about_arrival:
        raise UsageError(f"{name} rests on when files came; as if they had been on time it has nothing to tell")
    return setup.rules[name]


def _settings(rule: Rule, ranges: Sequence[str], values: int) -> list[tuple[Setting, ...]]:
    """What is tried."""
    if len(ranges) > MOST_KEYS:
        raise UsageError(f"at most {MOST_KEYS} keys are tried at once")
    try:
        return combined([in_range(rule, text, values) for text in ranges] or [around(rule, values)])
    except ValueError as error:
        raise UsageError(str(error)) from error


def _print(place: History, as_it_is: Tried, found: Sequence[Tried], zone: str) -> None:
    """The table of all that was tried, and what would be missed."""
    begin, end = (shown_time(moment, place.until, zone) for moment in (place.since, place.until))
    answers = sum(bool(one.label) for one in place.known)
    out.print(f"{place.rule.name}, {begin} to {end}: {len(place.known)} alerts were raised, {answers} answered.")
    out.print()
    headings = (
        "",
        "alerts/week",
        "rings/week",
        "something found",
        "95 %",
        "unanswered",
        "never raised",
        "lead",
        "misses",
    )
    rows = []
    for one in (as_it_is, *found):
        low, high = one.real.interval
        rows.append(
            (
                ", ".join(f"{key} {value}" for key, value in one.settings) or "as it is",
                f"{len(one.raised) / place.weeks:.1f}",
                f"{one.rings / place.weeks:.1f}",
                f"{one.real.part} of {one.real.whole}" if one.real.whole else "",
                f"{100 * low:.0f}–{100 * high:.0f} %" if one.real.whole else "",
                str(one.unanswered),
                str(one.fresh),
                "" if one.lead_s is None else format_quantity(one.lead_s, "s"),
                str(len(missed(as_it_is, one))),
            )
        )
    out.table(headings, rows, right=headings[1:])
    first = {episode: one for one in reversed(found) for episode in missed(as_it_is, one)}
    if first:
        out.print()
        for episode, one in sorted(first.items(), key=lambda item: item[0].raised_at)[:MOST_MISSED]:
            when = shown_time(episode.raised_at, place.until, zone)
            what = ", ".join(f"{key} {value}" for key, value in one.settings)
            out.print(f"missed from {what} on: {subject_words(episode.subject)}, {when}")
        if len(first) > MOST_MISSED:
            out.print(f"and {len(first) - MOST_MISSED} more, which --json names")


def _record(place: History, as_it_is: Tried, one: Tried, better: bool) -> dict[str, object]:
    """One value for programs."""
    low, high = one.real.interval
    return {
        "rule": place.rule.name,
        "settings": dict(one.settings),
        "weeks": round(place.weeks, 3),
        "alerts": len(one.raised),
        "rings": one.rings,
        "real": one.real.part,
        "nothing_found": one.real.whole - one.real.part,
        "real_from": low,
        "real_to": high,
        "unanswered": one.unanswered,
        "never_raised": one.fresh,
        "lead_s": one.lead_s,
        "missed": [{"subject": e.subject, "raised_at": rfc3339(e.raised_at)} for e in missed(as_it_is, one)],
        "recommended": better,
    }
